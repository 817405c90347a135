"""The decoding graph of a Vosk model: look-ahead HCL and G, so that run-time grammars work.

HCLr.fst turns transition numbers into words, Gr.fst is the language model; words.txt numbers the words as HCLr.fst was
relabelled.  Needs kaldifst, kaldilm and Debian's libfst-tools.  kaldifst and vosk dead-lock in one process: decode
elsewhere.

Command: ``python -m models.recipe.graph MODEL_FOLDER [--sentences N] [--unknown COST] ...``
"""

from __future__ import annotations

import argparse
import math
import os
import subprocess
import tempfile
from collections import Counter
from collections.abc import Set
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

from models.recipe import kaldi, language, phrases, spoken, texts
from models.recipe import lexicon as words_and_sounds
from models.recipe.lexicon import PHONES, Lexicon

ALIAS = 1000  # phones of the unknown word, told apart from those of known words until the graph is expanded
LOOKAHEAD = "/usr/lib/x86_64-linux-gnu"


@dataclass(frozen=True)
class Costs:
    """Knobs of the graph, in nats."""

    silence: float = 0.5  # chance of silence after a word
    second_way: float = 0.3  # each pronunciation but the first
    word: float = 0.0  # each known word; below nought it is rewarded
    inner_blank: float = 0.08  # each frame of blank inside a known word
    unknown_word: float = 4.0  # to enter the unknown word
    unknown_phone: float = 3.0  # each phone of it
    unknown_blank: float = 0.4  # each frame of blank inside it: trailing silence must not fit in


@dataclass(frozen=True)
class Arc:
    """An arc of the lexicon: states, phone, word, cost."""

    start: int
    end: int
    phone: int
    word: int
    cost: float


def spelled(ways: tuple[str, ...]) -> list[int]:
    """Phone symbols of a pronunciation, with their positions in the word."""
    if len(ways) == 1:
        return [kaldi.symbol(ways[0], "S")]
    inner = [kaldi.symbol(p, "I") for p in ways[1:-1]]
    return [kaldi.symbol(ways[0], "B"), *inner, kaldi.symbol(ways[-1], "E")]


class LexiconGraph:
    """All pronunciations as arcs from and to one loop state, with the symbols that make it determinizable."""

    def __init__(self, lexicon: Lexicon, words: dict[str, int], costs: Costs) -> None:
        self.costs, self.arcs, self.states = costs, list[Arc](), 5
        self.entry, self.loop, self.first_silence, self.silence, self.after = range(5)
        self.none, self.pause = -math.log(1 - costs.silence), -math.log(costs.silence)
        entries = [
            (word, spelled(way), costs.word + (costs.second_way if place else 0.0))
            for word, ways in lexicon.items()
            for place, way in enumerate(ways)
        ]
        self._silences()
        marks = self._known(entries, words)
        self.unknown_mark = kaldi.PHONE_COUNT + 2 + marks
        self.silence_mark = self.unknown_mark + 1
        self._unknown(words[language.UNKNOWN])
        self.arcs.append(Arc(self.after, self.loop, self.silence_mark, 0, 0.0))

    def _state(self) -> int:
        self.states += 1
        return self.states - 1

    def _silences(self) -> None:
        self.arcs.append(Arc(self.entry, self.loop, 0, 0, self.none))
        self.arcs.append(Arc(self.entry, self.first_silence, 0, 0, self.pause))
        self.arcs.append(Arc(self.first_silence, self.loop, kaldi.SILENCE, 0, 0.0))
        self.arcs.append(Arc(self.silence, self.after, kaldi.SILENCE, 0, 0.0))

    def _finish(self, state: int, phone: int, word: int, cost: float) -> None:
        self.arcs.append(Arc(state, self.loop, phone, word, cost + self.none))
        self.arcs.append(Arc(state, self.silence, phone, word, cost + self.pause))

    def _known(self, entries: list[tuple[str, list[int], float]], words: dict[str, int]) -> int:
        """Arcs of the known words; returns how many disambiguation symbols homophones and prefixes took."""
        homophones = Counter(tuple(sounds) for _, sounds, _ in entries)
        prefixes = {tuple(s[:cut]) for _, s, _ in entries for cut in range(1, len(s))}
        used: Counter[tuple[int, ...]] = Counter()
        for word, sounds, cost in entries:
            key, sequence = tuple(sounds), list(sounds)
            if homophones[key] > 1 or key in prefixes:
                used[key] += 1
                sequence.append(kaldi.PHONE_COUNT + 1 + used[key])
            state = self.loop
            for place, phone in enumerate(sequence):
                label, extra = (words[word], cost) if place == 0 else (0, 0.0)
                if place == len(sequence) - 1:
                    self._finish(state, phone, label, extra)
                else:
                    following = self._state()
                    self.arcs.append(Arc(state, following, phone, label, extra))
                    state = following
        return max(used.values(), default=0)

    def _unknown(self, label: int) -> None:
        """A loop of phones; its own entry symbol keeps it apart from the known words."""
        opened, inside, each = self._state(), self._state(), self.costs.unknown_phone
        self.arcs.append(Arc(self.loop, opened, self.unknown_mark, label, self.costs.unknown_word))
        for phone in PHONES:
            self.arcs.append(Arc(opened, inside, ALIAS + kaldi.symbol(phone, "B"), 0, each))
            self.arcs.append(Arc(inside, inside, ALIAS + kaldi.symbol(phone, "I"), 0, each))
            self._finish(inside, ALIAS + kaldi.symbol(phone, "E"), 0, each)


def to_fst(arcs: list[Arc], final: int, states: int) -> Any:
    """kaldifst's form."""
    import kaldifst

    fst = kaldifst.StdVectorFst()
    for _ in range(states):
        fst.add_state()
    fst.start = 0
    for arc in arcs:
        fst.add_arc(arc.start, kaldifst.StdArc(ilabel=arc.phone, olabel=arc.word, weight=arc.cost, nextstate=arc.end))
    fst.set_final(final, 0.0)
    return fst


def expand(fst: Any, costs: Costs) -> Any:
    """Phones to transition numbers, forward move first, then the self-loop; marks are numbered past them."""
    import kaldifst

    numbers, probabilities = kaldi.transitions()
    last = len(probabilities) - 1
    out = kaldifst.StdVectorFst()
    for _ in range(fst.num_states):
        out.add_state()
    out.start = fst.start

    def arc(start: int, label: int, word: int, cost: float, end: int) -> None:
        out.add_arc(start, kaldifst.StdArc(label, word, cost, end))

    for state in range(fst.num_states):
        final = fst.final(state)
        final = float(getattr(final, "value", final))
        if final != float("inf"):
            out.set_final(state, final)
        for old in kaldifst.ArcIterator(fst, state):
            cost = float(getattr(old.weight, "value", old.weight))
            label, word, end = old.ilabel, old.olabel, old.nextstate
            unknown = label > ALIAS
            phone = label - ALIAS if unknown else label
            if phone == 0:
                arc(state, 0, word, cost, end)
            elif phone > kaldi.PHONE_COUNT:
                arc(state, last + phone - kaldi.PHONE_COUNT, word, cost, end)
            elif kaldi.topology(phone) != 1:
                held = out.add_state()
                arc(state, numbers[phone, 0, 1], word, cost, held)
                arc(held, numbers[phone, 0, 0], 0, 0.0, held)
                arc(held, 0, 0, 0.0, end)
            else:
                short, sounded, blank = out.add_state(), out.add_state(), out.add_state()
                wait = costs.unknown_blank if unknown else costs.inner_blank
                arc(state, numbers[phone, 0, 2], word, cost, short)
                arc(short, numbers[phone, 0, 0], 0, 0.0, short)
                arc(short, 0, 0, 0.0, end)
                arc(state, numbers[phone, 0, 1], word, cost, sounded)
                arc(sounded, numbers[phone, 0, 0], 0, 0.0, sounded)
                arc(sounded, numbers[phone, 1, 1], 0, wait if unknown else 0.0, blank)
                arc(blank, numbers[phone, 1, 0], 0, wait, blank)
                arc(blank, 0, 0, 0.0, end)
    return out


def _tools(folder: str) -> dict[str, str]:
    """Environment in which OpenFst's tools find their look-ahead type, which Debian names otherwise."""
    for path in Path(LOOKAHEAD).glob("libfstlookahead.so.*"):
        link = Path(folder) / "olabel_lookahead-fst.so"
        if not link.exists():
            link.symlink_to(path)
    return {**os.environ, "LD_LIBRARY_PATH": folder}


def build(model: Path, lexicon: Lexicon, arpa: str, costs: Costs) -> dict[str, int]:
    """Write ``graph/`` and ``conf/``; returns counts and sizes in bytes.  CalledProcessError when a tool fails."""
    import kaldifst
    import kaldilm

    words = {"<eps>": 0, language.UNKNOWN: 1, **{w: i for i, w in enumerate(sorted(lexicon), 2)}}
    graph = LexiconGraph(lexicon, words, costs)
    fst = to_fst(graph.arcs, graph.loop, graph.states)
    kaldifst.arcsort(fst, "ilabel")
    kaldifst.determinize_star(fst, use_log=False)
    kaldifst.minimize_encoded(fst)
    wide = expand(fst, costs)
    kaldifst.arcsort(wide, "olabel")
    target = model / "graph"
    (target / "phones").mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        environment = _tools(folder)
        wide.write(f"{folder}/HCL.fst")
        convert = ["fstconvert", "--fst_type=olabel_lookahead", f"--save_relabel_opairs={folder}/relabel"]
        subprocess.run([*convert, f"{folder}/HCL.fst", str(target / "HCLr.fst")], check=True, env=environment)
        lines = [line.split() for line in Path(f"{folder}/relabel").read_text().splitlines()]
        pairs = {int(old): int(new) for old, new in lines}
        numbered = {"<eps>": 0, **{w: pairs[i] for w, i in words.items() if i in pairs}}
        for extra in ("#0", "<s>", "</s>", *(w for w in words if w not in numbered)):
            numbered[extra] = max(numbered.values()) + 1
        table = "".join(f"{w} {i}\n" for w, i in sorted(numbered.items(), key=lambda item: item[1]))
        (target / "words.txt").write_text(table, encoding="utf-8")
        Path(f"{folder}/lm.arpa").write_text(arpa, encoding="utf-8")
        symbols = str(target / "words.txt")
        text = kaldilm.arpa2fst(f"{folder}/lm.arpa", disambig_symbol="#0", read_symbol_table=symbols)
        Path(f"{folder}/G.txt").write_text(_without_backoff_label(text, numbered["#0"]), encoding="utf-8")
        steps = f"fstcompile {folder}/G.txt | fstarcsort --sort_type=ilabel | fstconvert --fst_type=const - "
        subprocess.run(["bash", "-o", "pipefail", "-c", f"{steps} '{target / 'Gr.fst'}'"], check=True, env=environment)
    last = len(kaldi.transitions()[1]) - 1
    marks = range(last + 1, last + 1 + graph.silence_mark - kaldi.PHONE_COUNT)
    (target / "disambig_tid.int").write_text("".join(f"{m}\n" for m in marks), encoding="utf-8")
    _write_settings(model)
    return {"words": len(lexicon), **{n: (target / n).stat().st_size for n in ("HCLr.fst", "Gr.fst")}}


def _without_backoff_label(text: str, mark: int) -> str:
    """kaldilm's G with epsilon for its back-off symbol, as look-ahead composition wants it."""
    lines = []
    for line in text.splitlines():
        fields = line.split()
        if len(fields) >= 4:
            fields[2:4] = ["0" if f == str(mark) else f for f in fields[2:4]]
        lines.append("\t".join(fields))
    return "\n".join(lines) + "\n"


def _write_settings(model: Path) -> None:
    names = {"B": "begin", "E": "end", "I": "internal", "S": "singleton"}
    boundaries = [f"{i} {names[kaldi.SYMBOLS[i][-1]]}" for i in range(2, kaldi.PHONE_COUNT + 1)]
    path = model / "graph" / "phones" / "word_boundary.int"
    path.write_text("\n".join(["1 nonword", *boundaries, ""]), encoding="utf-8")
    settings = model / "conf"
    settings.mkdir(parents=True, exist_ok=True)
    mfcc = "--use-energy=false --num-mel-bins=40 --num-ceps=40 --low-freq=20 --high-freq=7600"
    (settings / "mfcc.conf").write_text(
        "\n".join([*mfcc.split(), "--dither=0", "--allow-upsample=true", "--allow-downsample=true", ""]),
        encoding="utf-8",
    )
    decoding = (
        "--min-active=200 --max-active=2000 --beam=11.0 --lattice-beam=4.0 --acoustic-scale=1.0 "
        "--frame-subsampling-factor=3 --endpoint.silence-phones=1 --endpoint.rule2.min-trailing-silence=0.5 "
        "--endpoint.rule3.min-trailing-silence=1.0 --endpoint.rule4.min-trailing-silence=2.0"
    )
    (settings / "model.conf").write_text("\n".join([*decoding.split(), ""]), encoding="utf-8")


def language_mixture(
    lexicon: Lexicon,
    sentences: int,
    seed: int,
    unknown_every: int,
    written: float,
    strings: int,
    left_out: Set[str] = frozenset(),
) -> language.Mixture:
    """A model of ``sentences`` drawings of the speech grammar, and one of the open phrases and the talk.

    ``written`` is the second one's weight.  A third of its lines are counted with other numbers; ``strings`` of drawn
    digits are counted beside them.  ``left_out`` are lines kept for tuning.
    """
    everyday = [w for w in words_and_sounds.everyday_words() if w in lexicon]
    speaker, rng = texts.load(seed, everyday), Random(seed)
    drawn = language.Trigrams(lexicon, unknown_every, seed)
    for _ in range(sentences):
        drawn.add(speaker.say().split())
    drawn.settle((1, 1, 2))
    people = language.Trigrams(lexicon, unknown_every, seed, kneser_ney=True)
    for line in phrases.all_lines():
        if line not in left_out:
            people.add((phrases.redrawn(line, rng) if rng.random() < 1 / 3 else line).split())
    for _ in range(strings):  # digit by digit, as model and telephone numbers are read out
        people.add(spoken.digit_string("".join(rng.choices("0123456789", k=rng.randint(1, 7))), rng).split())
    people.settle()
    return language.Mixture([(written, people), (1 - written, drawn)])


def main() -> None:
    """Build the graph of a model."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("model", type=Path)
    parser.add_argument("--sentences", type=int, default=120000)
    parser.add_argument("--seed", type=int, default=11)
    parser.add_argument("--unknown-every", type=int, default=80)
    parser.add_argument("--written", type=float, default=0.9, help="weight of phrases and talk beside the grammar")
    parser.add_argument("--strings", type=int, default=6000, help="digit strings counted beside phrases and talk")
    parser.add_argument("--unknown-word", type=float, default=Costs.unknown_word)
    parser.add_argument("--unknown-phone", type=float, default=Costs.unknown_phone)
    parser.add_argument("--inner-blank", type=float, default=Costs.inner_blank)
    parser.add_argument("--word", type=float, default=Costs.word, help="cost of each known word")
    parser.add_argument("--least", type=float, default=0.0, help="trigrams worth less, in nats a word, are pruned")
    options = parser.parse_args()
    costs = Costs(
        unknown_word=options.unknown_word,
        unknown_phone=options.unknown_phone,
        inner_blank=options.inner_blank,
        word=options.word,
    )
    lexicon, missing = words_and_sounds.build()
    print("no sound for:", " ".join(missing) or "none")
    mixture = language_mixture(
        lexicon, options.sentences, options.seed, options.unknown_every, options.written, options.strings
    )
    print(build(options.model, lexicon, mixture.arpa(options.least), costs))


if __name__ == "__main__":
    main()
