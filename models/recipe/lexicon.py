"""How every word of the vocabulary sounds: ARPAbet phones without stress.

The vocabulary is the union of the words the journal's language stage knows (``journal/interpret/vocabulary/``, the one
source of trade words), the words of the speech grammar and of the open phrase tables (``phrases``), and everyday words
(``data/everyday.txt``).  Sounds come from
``data/pronunciations.txt`` and the CMU Pronouncing Dictionary that the package pocketsphinx carries (BSD licence).

Command: ``python -m models.recipe.lexicon`` prints size and the words nobody can pronounce.
"""

from __future__ import annotations

import argparse
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from importlib.resources import files
from pathlib import Path

from models.recipe import phrases, texts

PHONES = [
    "AA",
    "AE",
    "AH",
    "AO",
    "AW",
    "AY",
    "B",
    "CH",
    "D",
    "DH",
    "EH",
    "ER",
    "EY",
    "F",
    "G",
    "HH",
    "IH",
    "IY",
    "JH",
    "K",
    "L",
    "M",
    "N",
    "NG",
    "OW",
    "OY",
    "P",
    "R",
    "S",
    "SH",
    "T",
    "TH",
    "UH",
    "UW",
    "V",
    "W",
    "Y",
    "Z",
    "ZH",
]
DATA = Path(__file__).parent / "data"
VOCABULARY = Path(__file__).parents[2] / "journal" / "interpret" / "vocabulary"
Lexicon = dict[str, list[tuple[str, ...]]]
_WORD = re.compile(r"[a-z]+(?:'[a-z]+)*")


def read_dictionary(lines: Iterable[str]) -> Lexicon:
    """CMUdict's form, 'word(2) PH PH', or the same without numbers; '#' begins a comment."""
    found: Lexicon = {}
    for line in lines:
        word, *phones = line.split("#")[0].split() or [""]
        if not phones:
            continue
        sounds = tuple(re.sub(r"\d", "", p) for p in phones)
        ways = found.setdefault(re.sub(r"\(\d+\)$", "", word), [])
        if sounds not in ways:
            ways.append(sounds)
    return found


def cmu_dictionary() -> Lexicon:
    """The CMU Pronouncing Dictionary as carried by pocketsphinx."""
    path = files("pocketsphinx") / "model" / "en-us" / "cmudict-en-us.dict"
    return read_dictionary(path.read_text(encoding="utf-8").splitlines())


def own_dictionary() -> Lexicon:
    """The words of ``data/pronunciations.txt``."""
    return read_dictionary((DATA / "pronunciations.txt").read_text(encoding="utf-8").splitlines())


def everyday_words() -> list[str]:
    """Everyday words, commonest first."""
    lines = (DATA / "everyday.txt").read_text(encoding="utf-8").splitlines()
    return [line.strip() for line in lines if line.strip() and not line.startswith("#")]


def _strings(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for key, inner in value.items():
            yield str(key)
            yield from _strings(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _strings(inner)


def trade_words(folder: Path = VOCABULARY) -> set[str]:
    """Words in the language stage's data files (TOML or plain text); empty where there are none."""
    words: set[str] = set()
    for path in sorted(folder.glob("*")):
        if path.suffix == ".toml":
            found = " ".join(_strings(tomllib.loads(path.read_text(encoding="utf-8"))))
        elif path.suffix == ".txt":
            lines = path.read_text(encoding="utf-8").splitlines()
            found = " ".join(line.split("#")[0] for line in lines)
        else:
            continue
        words |= set(_WORD.findall(found.lower().replace("_", " ")))
    return words


def pronounce(word: str, own: Lexicon, cmu: Lexicon) -> list[tuple[str, ...]]:
    """Ways to say a word, the usual first; empty when nobody knows it."""
    if len(word) == 1:
        if word == "a":
            return [("AH",), ("EY",)]
        return cmu.get(word + ".", cmu.get(word, []))[:1]
    ways = [*own.get(word, []), *cmu.get(word, [])]
    if not ways and word.endswith("s"):
        stem = word.removesuffix("'s") if word.endswith("'s") else word.removesuffix("s")
        ways = [(*way, *_ending(way[-1])) for way in pronounce(stem, own, cmu)] if len(stem) > 1 else []
    return list(dict.fromkeys(ways))[:4]


def _ending(last: str) -> tuple[str, ...]:
    """How an 's' sounds after the phone ``last``: hiss after voiceless sounds, buzz after others."""
    if last in ("S", "Z", "SH", "ZH", "CH", "JH"):
        return ("IH", "Z")
    return ("S",) if last in ("P", "T", "K", "F", "TH") else ("Z",)


def build(folder: Path = VOCABULARY) -> tuple[Lexicon, list[str]]:
    """The lexicon, and the words of the vocabulary that could not be given a sound."""
    own, cmu = own_dictionary(), cmu_dictionary()
    grammar = texts.words_of(texts.parse_grammar(texts.GRAMMAR.read_text(encoding="utf-8")))
    wanted = grammar | trade_words(folder) | phrases.words() | set(everyday_words()) | set(own)
    lexicon: Lexicon = {}
    missing = []
    for word in sorted(wanted):
        ways = pronounce(word, own, cmu)
        if ways:
            lexicon[word] = ways
        else:
            missing.append(word)
    return lexicon, missing


def main() -> None:
    """Print the size of the lexicon and the words that nobody can pronounce."""
    argparse.ArgumentParser(description=main.__doc__).parse_args()
    lexicon, missing = build()
    print(len(lexicon), "words;", "missing:", " ".join(missing) or "none")


if __name__ == "__main__":
    main()
