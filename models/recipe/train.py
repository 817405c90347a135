"""Training of the acoustic network with CTC on synthesized and real speech.

Commands:

    python -m models.recipe.train pack OUT --speech SHARED --synthesized FILE.jsonl ...
    python -m models.recipe.train run PACKS INIT.pt OUT.pt --steps N [--seconds S] [--rate R]

``pack`` writes one ``.npz`` a source: sounds as 16-bit samples, texts beside them.  Real speech is other_speech 000-399
(Apache-2.0) and read_speech (CC BY 4.0) with the weak transcripts that a general recogniser wrote; share-alike speech
only with ``--share-alike``, for a comparison that is not released.  ``run`` needs no Vosk and no Kaldi, only torch.
"""

from __future__ import annotations

import argparse
import csv
import json
import math
import re
import time
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import numpy.typing as npt

from models.recipe import lexicon as sounds
from models.recipe import spoken

RATE = 16000
# How often each source is drawn; the real speakers are few and worth most.
SHARES = {"real": 0.34, "kokoro": 0.22, "espeak": 0.20, "flite": 0.14, "festival": 0.06, "digits": 0.04}
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


def synthesized_pack(notes: list[Path], name: str) -> Pack:
    """What ``voices`` wrote; notes whose sound is missing at the end are left out."""
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
    return Pack.join(name, items)


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
        from models.recipe.voices import is_letter

        phones: list[int] = []
        words = text.split()
        for place, word in enumerate(words):
            ways = self.ways(word)
            if word == "a":
                way = ways[1 if is_letter(words, place) else 0]
            else:
                way = ways[0] if self.rng.random() < 0.65 else self.rng.choice(ways)
            phones += way
        return phones


class Batches:
    """Draws batches: items of one length-sorted pool together, sources by their shares, now and then two joined."""

    def __init__(self, packs: list[Pack], seed: int, seconds: float) -> None:
        self.packs = packs
        self.rng = Random(seed)
        self.labels = Labels(seed)
        self.limit = int(seconds * RATE)
        self.shares = [SHARES.get(p.name.split("_")[0], 0.1) for p in packs]
        self.usable = [[i for i, t in enumerate(p.texts) if p.lengths[i] < 14 * RATE and self._known(t)] for p in packs]

    def _known(self, text: str) -> bool:
        try:
            self.labels(text)
        except KeyError:
            return False
        return bool(text)

    def _item(self) -> tuple[list[tuple[int, int]], int, list[int]]:
        source = self.rng.choices(range(len(self.packs)), self.shares)[0]
        segments: list[tuple[int, int]] = []
        phones: list[int] = []
        pack, length = self.packs[source], 0
        while not segments or (length < 3 * RATE and self.rng.random() < 0.35):
            place = self.rng.choice(self.usable[source])
            segments.append((source, place))
            length += int(pack.lengths[place])
            phones += self.labels(pack.texts[place])
        return segments, length, phones

    def __iter__(self) -> Any:
        while True:
            pool = sorted((self._item() for _ in range(400)), key=lambda item: item[1])
            batches: list[list[Any]] = [[]]
            for item in pool:
                if batches[-1] and item[1] * (len(batches[-1]) + 1) > self.limit:
                    batches.append([])
                batches[-1].append(item)
            self.rng.shuffle(batches)
            yield from batches


def run(options: argparse.Namespace) -> None:
    """Train; prints the loss a phone and, at the end, writes the state in half precision."""
    import torch
    from torch.nn import functional

    from models.recipe.augment import Augmenter
    from models.recipe.network import Network

    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    torch.manual_seed(options.seed)
    network = Network()
    state = torch.load(options.init, map_location="cpu", weights_only=True)
    network.load_state_dict({k: v.float() if v.is_floating_point() else v for k, v in state.items()})
    network.to(device).train()
    packs = []
    for path in sorted(options.packs.glob("*.npz")):
        with np.load(path) as kept:
            texts = list(map(str, kept["texts"]))
            packs.append(Pack(path.stem, kept["samples"], kept["starts"], kept["lengths"], texts))
    memory = [torch.from_numpy(p.samples).to(device) for p in packs]
    for pack in packs:
        print(f"{pack.name}: {len(pack.texts)} items, {pack.lengths.sum() / RATE / 3600:.2f} h", flush=True)
    head = list(network.output.parameters())
    body = [p for n, p in network.named_parameters() if not n.startswith(("output.", "lda."))]
    groups = [{"params": body, "base": options.rate}, {"params": head, "base": max(options.rate, 1e-3)}]
    optimiser = torch.optim.AdamW(groups, lr=options.rate, weight_decay=1e-3, betas=(0.9, 0.98))
    augment = Augmenter(device, options.seed)
    began, heard, smooth = time.monotonic(), 0.0, 0.0
    for step, batch in enumerate(Batches(packs, options.seed, options.batch_seconds)):
        progress = max(step / options.steps, (time.monotonic() - began) / options.seconds)
        if progress >= 1:
            break
        scale = min(1, (step + 1) / 300) * (0.5 * (1 + math.cos(math.pi * progress)) * 0.98 + 0.02)
        for number, group in enumerate(optimiser.param_groups):
            group["lr"] = group["base"] * scale * (0 if number == 0 and step < options.head_first else 1)
        sound = torch.zeros(len(batch), max(length for _, length, _ in batch), device=device)
        for row, (segments, _, _) in enumerate(batch):
            at = 0
            for source, place in segments:
                start, length = int(packs[source].starts[place]), int(packs[source].lengths[place])
                sound[row, at : at + length] = memory[source][start : start + length].float() / 32768
                at += length
        lengths = torch.tensor([length for _, length, _ in batch], device=device)
        augment.strength = min(1.0, 0.1 + 0.9 * progress / options.gentle) if options.gentle else 1.0
        with torch.no_grad():
            mfcc, frames = augment(sound, lengths)
        with torch.autocast(device.type, dtype=torch.bfloat16):
            scores = network(mfcc)
        outputs = (frames + 2) // 3
        targets = torch.tensor([p for _, _, phones in batch for p in phones], device=device)
        counts = torch.tensor([len(phones) for _, _, phones in batch], device=device)
        logs = scores.float().log_softmax(2).transpose(0, 1)
        loss = functional.ctc_loss(logs, targets, outputs, counts, zero_infinity=True, reduction="sum") / counts.sum()
        optimiser.zero_grad(set_to_none=True)
        loss.backward()  # type: ignore[no-untyped-call]
        torch.nn.utils.clip_grad_norm_(network.parameters(), 5.0)
        optimiser.step()
        if step % 250 == 0:
            smooth = loss.item() if step == 0 else 0.6 * smooth + 0.4 * loss.item()
            print(f"{time.monotonic() - began:.0f} s, step {step}, {heard / 3600:.1f} h, loss {smooth:.3f}", flush=True)
        heard += float(sound.shape[0] * sound.shape[1]) / RATE
    print(f"end: {step} steps, {heard / 3600:.0f} h, {time.monotonic() - began:.0f} s", flush=True)
    kept = network.cpu().state_dict()
    torch.save({k: v.half() if v.is_floating_point() else v for k, v in kept.items()}, options.out)


def pack(options: argparse.Namespace) -> None:
    """Write the packs."""
    options.out.mkdir(parents=True, exist_ok=True)
    by_engine: dict[str, list[Path]] = {}
    for path in options.synthesized:
        by_engine.setdefault(path.stem.split("_")[0], []).append(path)
    packs = [real_pack(options.speech), *(synthesized_pack(sorted(p), e) for e, p in by_engine.items())]
    if options.share_alike:
        packs.append(digit_pack(options.speech))
    for one in packs:
        path = options.out / f"{one.name}.npz"
        texts = np.array(one.texts)
        np.savez(path, samples=one.samples, starts=one.starts, lengths=one.lengths, texts=texts)
        print(one.name, len(one.texts), f"{one.lengths.sum() / RATE / 3600:.2f} h", flush=True)


def main() -> None:
    """Pack the speech, or train."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    commands = parser.add_subparsers(required=True)
    packing = commands.add_parser("pack")
    packing.add_argument("out", type=Path)
    packing.add_argument("--speech", type=Path, required=True)
    packing.add_argument("--synthesized", type=Path, nargs="*", default=[])
    packing.add_argument("--share-alike", action="store_true")
    packing.set_defaults(go=pack)
    training = commands.add_parser("run")
    training.add_argument("packs", type=Path)
    training.add_argument("init", type=Path)
    training.add_argument("out", type=Path)
    training.add_argument("--steps", type=int, default=12000)
    training.add_argument("--seconds", type=float, default=1e9)
    training.add_argument("--rate", type=float, default=5e-4)
    training.add_argument("--head-first", type=int, default=100)
    training.add_argument("--gentle", type=float, default=0.5, help="share of the run over which noise grows to full")
    training.add_argument("--batch-seconds", type=float, default=160)
    training.add_argument("--seed", type=int, default=1)
    training.set_defaults(go=run)
    options = parser.parse_args()
    options.go(options)


if __name__ == "__main__":
    main()
