"""Training of the acoustic network on synthesized and real speech: with CTC, or with CTC-CRF (``--against``).

Commands:

    python -m models.recipe.train pack OUT --speech SHARED --synthesized FILE.jsonl ...
    python -m models.recipe.train run PACKS INIT.pt OUT.pt --steps N [--seconds S] [--rate R]

``pack`` writes one ``.npz`` a source: sounds as 16-bit samples, texts beside them.  Real speech is other_speech 000-399
(Apache-2.0) and read_speech (CC BY 4.0) with the weak transcripts that a general recogniser wrote; share-alike speech
only with ``--share-alike``, for a comparison that is not released, or with ``--dev-digits`` to watch a training.
PACKS may grow while ``run`` is at work.  ``run`` needs no Vosk and no Kaldi, only torch.
"""

from __future__ import annotations

import argparse
import csv
import json
import math
import re
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random

import numpy as np
import numpy.typing as npt
import torch
from torch import Tensor
from torch.nn import functional

from models.recipe import lexicon as sounds
from models.recipe import spoken
from models.recipe.denominator import log_total, trigrams
from models.recipe.network import Network, read_state

RATE = 16000
# How often each source is drawn; the real speakers are few and worth most.
SHARES = {
    "real": 0.25,
    "kokoro": 0.42,
    "espeak": 0.08,
    "flite": 0.05,
    "festival": 0.03,
    "words": 0.17,
    "digits": 0.04,
}
LONGEST = 14  # seconds of one sound
_LEAST_LOG_PROBABILITY = {"other_speech": -0.75, "read_speech": -0.42}


def transcript_words(text: str, rng: Random) -> list[str]:
    """A written transcript as spoken words: digits become number words."""
    text = text.lower().replace("-", " ").replace("%", " percent")
    text = re.sub(r"\d+", lambda found: f" {spoken.integer(int(found[0]), rng)} " if len(found[0]) < 7 else " ", text)
    return re.findall(r"[a-z]+(?:'[a-z]+)*", text)


@dataclass
class Pack:
    """Sounds end to end as 16-bit samples, where each starts and how long it is, and its words."""

    name: str
    samples: npt.NDArray[np.int16]
    starts: npt.NDArray[np.int64]
    lengths: npt.NDArray[np.int64]
    texts: list[str]

    @classmethod
    def join(cls, name: str, items: list[tuple[npt.NDArray[np.int16], str]]) -> Pack:
        """From single items."""
        lengths = np.array([len(s) for s, _ in items], np.int64)
        starts = np.concatenate([[0], np.cumsum(lengths)[:-1]])
        return cls(name, np.concatenate([s for s, _ in items]), starts, lengths, [t for _, t in items])

    def save(self, folder: Path) -> None:
        """Write it as FOLDER/NAME.npz, whole or not at all: a training may be looking for new ones."""
        path = folder / f"{self.name}.npz"
        part = path.with_name(f".{path.name}")
        texts = np.array(self.texts)
        np.savez(part, samples=self.samples, starts=self.starts, lengths=self.lengths, texts=texts)
        part.replace(path)


def _sixteen_bits(sound: npt.NDArray[np.float32], rate: int) -> npt.NDArray[np.int16]:
    if rate != RATE:
        import soxr

        sound = soxr.resample(sound, rate, RATE)
    return np.asarray(sound * (16000 / (np.abs(sound).max() + 1e-6)), dtype=np.int16)


def real_pack(speech: Path) -> Pack:
    """The trainable real speech whose weak transcripts look reliable; the reserved files are never opened."""
    import soundfile

    dictionary, rng, items = {**sounds.cmu_dictionary(), **sounds.own_dictionary()}, Random(5), []
    for line in (speech / "weak_transcripts.jsonl").read_text(encoding="utf-8").splitlines():
        entry = json.loads(line)
        folder, _, name = entry["file"].partition("/")
        if folder == "other_speech" and int(name.split(".")[0]) >= 400:
            raise ValueError(f"{entry['file']} is reserved for measuring")
        words = transcript_words(entry["text"], rng)
        known = words and all(w in dictionary for w in words)
        if entry["avg_logprob"] >= _LEAST_LOG_PROBABILITY[folder] and known:
            sound, rate = soundfile.read(speech / entry["file"], dtype="float32")
            items.append((_sixteen_bits(sound, rate), " ".join(words)))
    return Pack.join("real", items)


def digit_pack(speech: Path) -> Pack:
    """The three share-alike digit speakers that may be trained on (comparison only)."""
    import soundfile

    items, whole = [], {}
    with (speech / "digits" / "manifest.csv").open(encoding="utf-8") as rows:
        for row in csv.DictReader(rows):
            if row["speaker"] in ("george", "lucas", "yweweler"):
                continue
            if row["file"] not in whole:
                whole[row["file"]] = soundfile.read(speech / row["file"], dtype="float32")
            sound, rate = whole[row["file"]]
            start = int(row["start"])
            items.append((_sixteen_bits(sound[start : start + int(row["frames"])], rate), row["text"]))
    return Pack.join("digits", items)


def divided(pack: Pack, every: int = 12) -> tuple[Pack, Pack]:
    """A pack without every twelfth item, and those, which are for measuring while training goes on."""
    items = [(pack.samples[s : s + n], t) for s, n, t in zip(pack.starts, pack.lengths, pack.texts, strict=True)]
    trained = [item for n, item in enumerate(items) if n % every]
    return Pack.join(pack.name, trained), Pack.join(f"dev_{pack.name}", items[::every])


def digit_strings(single: Pack, count: int = 150) -> Pack:
    """Strings of three digits of the speakers in ``digit_pack``, to measure with while training goes on; never trained
    on."""
    rng, items = Random(6), []
    for _ in range(count):
        speaker = rng.randrange(len(single.texts) // 500) * 500  # the manifest lists 500 of each speaker in turn
        chosen = [speaker + rng.randrange(500) for _ in range(3)]
        pieces: list[npt.NDArray[np.int16]] = []
        for n in chosen:
            pieces.append(single.samples[single.starts[n] : single.starts[n] + single.lengths[n]])
            # A room's faint hiss, as in what is measured (``evaluate.digit_sets``)
            hiss = np.random.default_rng(len(items)).standard_normal(int(RATE * rng.uniform(0.05, 0.3)))
            pieces.append(np.asarray(hiss * 16, np.int16))
        items.append((np.concatenate(pieces), " ".join(single.texts[n] for n in chosen)))
    return Pack.join("dev_digits", items)


def synthesized_pack(notes: list[Path], name: str) -> Pack | None:
    """What ``voices`` wrote; notes whose sound is missing at the end are left out.  None where nothing is left."""
    import soundfile

    items = []
    for path in notes:
        sound, _ = soundfile.read(path.with_suffix(".ogg"), dtype="int16")
        for line in path.read_text(encoding="utf-8").splitlines():
            try:
                entry = json.loads(line)
            except json.JSONDecodeError:
                continue
            if entry["start"] + entry["frames"] <= len(sound):
                items.append((sound[entry["start"] : entry["start"] + entry["frames"]], entry["text"]))
    return Pack.join(name, items) if items else None


class Labels:
    """Words to phone numbers 1..39; one of several pronunciations is drawn, the first one most often."""

    def __init__(self, seed: int) -> None:
        self.rng = Random(seed)
        self.own, self.cmu = sounds.own_dictionary(), sounds.cmu_dictionary()
        self.known: dict[str, list[list[int]]] = {}

    def ways(self, word: str) -> list[list[int]]:
        """All pronunciations of a word; KeyError when it has none."""
        if word not in self.known:
            found = sounds.pronounce(word, self.own, self.cmu)
            if not found:
                raise KeyError(word)
            self.known[word] = [[sounds.PHONES.index(p) + 1 for p in way] for way in found]
        return self.known[word]

    def __call__(self, text: str) -> list[int]:
        """Phones of a text."""
        phones: list[int] = []
        words = text.split()
        for place, word in enumerate(words):
            ways = self.ways(word)
            if word == "a":
                way = ways[1 if spoken.is_letter(words, place) else 0]
            else:
                way = ways[0] if self.rng.random() < 0.65 else self.rng.choice(ways)
            phones += way
        return phones


@dataclass
class Item:
    """One training example: pieces of sound (start in the sound bank, length, place in the item), its phones."""

    pieces: list[tuple[int, int, int]]
    length: int
    phones: list[int]


class Bank:
    """All sounds end to end on the device; packs may be added while training goes on."""

    def __init__(self, device: torch.device, seed: int) -> None:
        self.device = device
        self.labels = Labels(seed)
        self.sound = torch.zeros(1, dtype=torch.int16, device=device)
        self.sources: dict[str, list[tuple[int, int, str]]] = {}
        self.taken: set[Path] = set()

    def refresh(self, folder: Path) -> None:
        """Add the packs in ``folder`` that are new; ones named ``dev_`` are for measuring only."""
        added = [self.sound]
        size = len(self.sound)
        for path in sorted(folder.glob("*.npz")):
            if path in self.taken or path.name.startswith(("dev_", ".")):
                continue
            self.taken.add(path)
            with np.load(path) as kept:
                texts, lengths = list(map(str, kept["texts"])), kept["lengths"]
                known = [n for n, t in enumerate(texts) if lengths[n] < LONGEST * RATE and self._known(t)]
                items = self.sources.setdefault(path.stem.split("_")[0], [])
                items += [(size + int(kept["starts"][n]), int(lengths[n]), texts[n]) for n in known]
                added.append(torch.from_numpy(kept["samples"]).to(self.device))
                size += len(added[-1])
        if len(added) > 1:
            self.sound = torch.cat(added)
            hours = {name: sum(length for _, length, _ in items) / RATE / 3600 for name, items in self.sources.items()}
            print("bank:", ", ".join(f"{name} {h:.2f} h" for name, h in sorted(hours.items())), flush=True)

    def _known(self, text: str) -> bool:
        try:
            return bool(self.labels(text))
        except KeyError:
            return False

    def gather(self, items: Sequence[Item]) -> tuple[Tensor, Tensor]:
        """Sounds as (items, samples) in -1..1, and their lengths in samples."""
        length = max(item.length for item in items)
        most = max(len(item.pieces) for item in items)
        table = np.zeros((3, len(items), most), np.int64)
        for row, item in enumerate(items):
            for column, piece in enumerate(item.pieces):
                table[:, row, column] = piece
        start, size, at = torch.from_numpy(table).to(self.device)
        time = torch.arange(length, device=self.device)[None]
        result = torch.zeros(len(items), length, device=self.device)
        for column in range(most):
            inside = time - at[:, column, None]
            mask = (inside >= 0) & (inside < size[:, column, None])
            place = torch.where(mask, start[:, column, None] + inside, 0)
            result += self.sound[place].float() * mask
        return result / 32768, torch.tensor([item.length for item in items], device=self.device)


class Batches:
    """Draws batches: items of one length-sorted pool together, sources by their shares, now and then two joined."""

    def __init__(self, bank: Bank, seed: int, seconds: float) -> None:
        self.bank = bank
        self.rng = Random(seed)
        self.limit = int(seconds * RATE)

    def _item(self) -> Item:
        names = sorted(self.bank.sources)
        source = self.rng.choices(names, [SHARES.get(name, 0.1) for name in names])[0]
        choices = self.bank.sources[source]
        single = source == "words"
        count = self.rng.choices((1, 2, 3, 4, 5), (4, 1, 2, 2, 2))[0] if single else 1
        item, place = Item([], 0, []), 0
        while len(item.pieces) < count or (
            not single and item.length < 3 * RATE and len(item.pieces) < 3 and self.rng.random() < 0.35
        ):
            # Single words stand beside others of their speaker; a string of them is mostly one person's.
            near = single and item.pieces and self.rng.random() < 0.8
            place = place + self.rng.randint(-6, 6) if near else self.rng.randrange(len(choices))
            start, length, text = choices[place % len(choices)]
            gap = int(RATE * self.rng.uniform(0.0, 0.35)) if item.pieces else 0
            item.pieces.append((start, length, item.length + gap))
            item.length += gap + length
            item.phones += self.bank.labels(text)
        return item

    def __iter__(self) -> Iterator[list[Item]]:
        while True:
            pool = sorted((self._item() for _ in range(1200)), key=lambda item: item.length)
            batches: list[list[Item]] = [[]]
            for item in pool:
                if batches[-1] and item.length * (len(batches[-1]) + 1) > self.limit:
                    batches.append([])
                batches[-1].append(item)
            self.rng.shuffle(batches)
            yield from batches


def phone_errors(network: Network, folder: Path, device: torch.device) -> dict[str, float]:
    """Phone error rate of the likeliest path on the packs named ``dev_``, sounds as they are."""
    from models.recipe.augment import Mfcc
    from models.recipe.evaluate import edits

    mfcc, labels, rates = Mfcc(device), Labels(0), {}
    network.eval()
    for path in sorted(folder.glob("dev_*.npz")):
        with np.load(path) as kept:
            texts, sound, starts, lengths = kept["texts"], kept["samples"], kept["starts"], kept["lengths"]
        wrong = total = 0
        for text, start, length in zip(texts, starts, lengths, strict=True):
            piece = torch.from_numpy(sound[start : start + length]).to(device).float()[None] / 32768
            piece = functional.pad(piece, (RATE // 5, RATE // 5))
            with torch.no_grad():
                noise = torch.randn(1, (piece.shape[1] - 400) // 160 + 1, 400, device=device)
                best = network(mfcc(piece, noise)).argmax(2)[0].tolist()
            heard = [p for n, p in enumerate(best) if p and (n == 0 or best[n - 1] != p)]
            wanted = [w[0] for w in (labels.ways(word) for word in str(text).split())]
            flat = [phone for way in wanted for phone in way]
            wrong += edits(flat, heard)
            total += len(flat)
        rates[path.stem] = wrong / max(total, 1)
    network.train()
    return rates


def phone_model(bank: Bank, device: torch.device, most: int = 40_000) -> Tensor:
    """The trigram model of phones that the spoken ones compete with, from the texts in the bank, sources as drawn."""
    rng, texts = Random(1), []
    for name, items in sorted(bank.sources.items()):
        texts += [items[rng.randrange(len(items))][2] for _ in range(int(most * SHARES.get(name, 0.1)))]
    return trigrams((bank.labels(text) for text in texts), len(sounds.PHONES) + 1, (0.7, 0.2, 0.1)).to(device)


def keep_state(network: Network, path: Path) -> None:
    """Write the weights in half precision, whole or not at all."""
    state = {k: v.detach().cpu() for k, v in network.state_dict().items()}
    part = path.with_suffix(".part")
    torch.save({k: v.half() if v.is_floating_point() else v for k, v in state.items()}, part)
    part.replace(path)


def run(options: argparse.Namespace) -> None:
    """Train; prints the loss a phone and the phone errors, and writes the state now and then and at the end."""
    from models.recipe.augment import Augmenter

    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    torch.manual_seed(options.seed)
    network = read_state(options.init, options.neck or None)
    network.to(device).train()
    bank = Bank(device, options.seed)
    bank.refresh(options.packs)
    head = list(network.output.parameters())
    body = [p for n, p in network.named_parameters() if not n.startswith(("output.", "lda."))]
    groups = [{"params": body, "base": options.rate}, {"params": head, "base": max(options.rate, options.head_rate)}]
    optimiser = torch.optim.AdamW(groups, lr=options.rate, weight_decay=1e-3, betas=(0.9, 0.98))
    augment = Augmenter(device, options.seed)
    against = phone_model(bank, device) if options.against else None
    began, heard, smooth = time.monotonic(), 0.0, 0.0
    looked = written = began
    for step, batch in enumerate(Batches(bank, options.seed, options.batch_seconds)):
        now = time.monotonic()
        progress = max(step / options.steps, (now - began) / options.seconds)
        if progress >= 1:
            break
        if now - looked > options.refresh_seconds:
            bank.refresh(options.packs)
            looked = time.monotonic()
        if now - written > options.keep_seconds:
            keep_state(network, options.out)
            errors = ", ".join(f"{k} {v:.3f}" for k, v in phone_errors(network, options.packs, device).items())
            print(f"{now - began:.0f} s, step {step}, phone errors: {errors}", flush=True)
            written = time.monotonic()
        scale = min(1, (step + 1) / 300) * (0.5 * (1 + math.cos(math.pi * progress)) * 0.98 + 0.02)
        for number, group in enumerate(optimiser.param_groups):
            group["lr"] = group["base"] * scale * (0 if number == 0 and step < options.head_first else 1)
        sound, lengths = bank.gather(batch)
        augment.strength = min(1.0, 0.1 + 0.9 * progress / options.gentle) if options.gentle else 1.0
        with torch.no_grad():
            mfcc, frames = augment(sound, lengths)
        with torch.autocast(device.type, dtype=torch.bfloat16, enabled=device.type == "cuda"):
            scores = network(mfcc)
        outputs = (frames + 2) // 3
        targets = torch.tensor([p for item in batch for p in item.phones], device=device)
        counts = torch.tensor([len(item.phones) for item in batch], device=device)
        logs = scores.float().log_softmax(2).transpose(0, 1)
        loss = functional.ctc_loss(logs, targets, outputs, counts, zero_infinity=True, reduction="sum")
        if against is not None:
            loss = loss + options.against * log_total(logs, outputs, against).sum()
        loss = loss / counts.sum()
        optimiser.zero_grad(set_to_none=True)
        loss.backward()  # type: ignore[no-untyped-call]
        torch.nn.utils.clip_grad_norm_(network.parameters(), 5.0)
        optimiser.step()
        if step % 250 == 0:
            smooth = loss.item() if step == 0 else 0.6 * smooth + 0.4 * loss.item()
            print(f"{time.monotonic() - began:.0f} s, step {step}, {heard / 3600:.1f} h, loss {smooth:.3f}", flush=True)
        heard += float(sound.shape[0] * sound.shape[1]) / RATE
    print(f"end: {step} steps, {heard / 3600:.0f} h, {time.monotonic() - began:.0f} s", flush=True)
    print("phone errors:", phone_errors(network, options.packs, device), flush=True)
    keep_state(network, options.out)


def pack(options: argparse.Namespace) -> None:
    """Write the packs."""
    options.out.mkdir(parents=True, exist_ok=True)
    by_engine: dict[str, list[Path]] = {}
    for path in options.synthesized:
        by_engine.setdefault(path.stem.split("_")[0], []).append(path)
    real, kept_back = divided(real_pack(options.speech))
    packs = [real, kept_back, *filter(None, (synthesized_pack(sorted(p), e) for e, p in by_engine.items()))]
    if options.share_alike:
        packs.append(digit_pack(options.speech))
    if options.dev_digits:
        packs.append(digit_strings(digit_pack(options.speech)))
    for one in packs:
        one.save(options.out)
        print(one.name, len(one.texts), f"{one.lengths.sum() / RATE / 3600:.2f} h", flush=True)


def main() -> None:
    """Pack the speech, or train."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    commands = parser.add_subparsers(required=True)
    packing = commands.add_parser("pack")
    packing.add_argument("out", type=Path)
    packing.add_argument("--speech", type=Path, required=True)
    packing.add_argument("--synthesized", type=Path, nargs="*", default=[])
    packing.add_argument("--share-alike", action="store_true", help="train on share-alike digits too (not released)")
    packing.add_argument("--dev-digits", action="store_true", help="share-alike digits to watch the training with")
    packing.set_defaults(go=pack)
    training = commands.add_parser("run")
    training.add_argument("packs", type=Path)
    training.add_argument("init", type=Path)
    training.add_argument("out", type=Path)
    training.add_argument("--steps", type=int, default=12000)
    training.add_argument("--seconds", type=float, default=1e9)
    training.add_argument("--rate", type=float, default=5e-4)
    training.add_argument("--head-rate", type=float, default=1e-3, help="the output layer's rate, if higher")
    training.add_argument("--refresh-seconds", type=float, default=60, help="how often PACKS is searched for new packs")
    training.add_argument("--keep-seconds", type=float, default=120, help="how often the state is written and measured")
    training.add_argument("--head-first", type=int, default=100)
    training.add_argument("--against", type=float, default=0.0, help="weight of all other phone sequences (CTC-CRF)")
    training.add_argument("--gentle", type=float, default=0.5, help="share of the run over which noise grows to full")
    training.add_argument("--batch-seconds", type=float, default=160)
    training.add_argument("--neck", type=int, default=0, help="width of the necks; wider than INIT's adds to it")
    training.add_argument("--seed", type=int, default=1)
    training.set_defaults(go=run)
    options = parser.parse_args()
    options.go(options)


if __name__ == "__main__":
    main()
