"""Training of the tagger, and what it is worth on narrations it has not learned from.

    python -m models.recipe.tagger.learn EXAMPLES.jsonl START.pt OUT [--layers N] [--without TABLE ...]

START.pt is what ``network`` or ``teacher`` writes, or the weights of an earlier tagger (.npz) to go on from.  With
``--without`` the examples of those tables are left out and measured on at the end.  With ``--taught-by TEACHER ...`` a
tagger also learns how likely the teachers (their mean) hold every class, of ``--unlabelled`` examples nothing else.
Needs torch only; a minute on a GPU, a quarter of an hour on a processor.
"""

from __future__ import annotations

import argparse
import json
import math
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

import torch
import torch.nn.functional as F
from torch import Tensor, nn

from journal.domain.reading import Phase, Trend
from journal.interpret.tagger.encoder import LONGEST, packed, unpacked
from journal.interpret.tagger.tags import NONE, NOWHERE, STANDS, TAKEN_BACK
from journal.interpret.tagger.wordpieces import UNKNOWN, rows, vocabulary
from models.recipe.tagger.network import Tagger
from models.recipe.tagger.teacher import RELATIVE, Teacher, loaded, saved

LEAST = {"kind": 4, "role": 1, "component": 4, "phase": 1, "trend": 1}  # examples of a class
WEIGHT = {"kind": 1.0, "role": 0.5, "component": 0.5, "start": 0.5, "withdrawn": 0.5, "phase": 0.3, "trend": 0.3}
TAUGHT = 0.7  # share of what teachers say in what is learned, the rest from labels
LIGHT = 0.2  # weight of 'no part': a table that names none may only have left it out
SKIPPED = -100
RARE = (NONE, NOWHERE, TAKEN_BACK, Phase.AS_LEFT, *Trend)  # classes counted apart
ALIKE = (
    ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine"],
    ["ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"],
    ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"],
)
OTHER_NUMBER, UNHEARD, FORGOTTEN = 0.25, 0.03, 0.1  # how often, where wordings are varied


@dataclass
class Row:
    """One utterance as the network reads it, and what each labelled word is: class numbers by output."""

    example: dict[str, Any]
    pieces: list[int]
    parts: list[int]
    at: list[int]  # where the labelled words' first pieces stand
    target: list[int]  # the target each belongs to
    labels: dict[str, list[int]]


def outputs_of(examples: Sequence[dict[str, Any]]) -> dict[str, list[str]]:
    """The classes of every output, the commonest first."""
    found: dict[str, list[str]] = {}
    for name, least in LEAST.items():
        counted = Counter(t[name] for e in examples for t in e["targets"] if t.get(name) and t["kind"])
        found[name] = [label for label, count in counted.most_common() if count >= least]
    return {**found, "start": ["goes on", "starts"], "withdrawn": [STANDS, TAKEN_BACK]}


def varied(words: Sequence[str], rng: Random) -> list[str]:
    """The words with other numbers of the same build, and now and then one of the others not understood."""
    said: list[str] = []
    for word in words:
        like = next((group for group in ALIKE if word in group), None)
        if like is not None:
            said.append(rng.choice(like) if rng.random() < OTHER_NUMBER else word)
        else:
            said.append(UNKNOWN if rng.random() < UNHEARD else word)
    return said


def row_of(example: dict[str, Any], outputs: dict[str, list[str]], rng: Random | None = None) -> Row:
    """Label an utterance's words; with ``rng`` in another wording."""
    earlier, words = example["earlier"], example["pieces"]
    if rng is not None:
        earlier = [] if rng.random() < FORGOTTEN else varied(earlier, rng)
        words = varied(words, rng)
    pieces, parts, starts = rows(earlier, words, vocabulary())
    row = Row(example, pieces[:LONGEST], parts[:LONGEST], [], [], {name: [] for name in outputs})
    for number, target in enumerate(example["targets"]):
        real = target["kind"] not in (None, NONE)
        for word in range(target["first"], target["last"] + 1):
            if starts[word] >= LONGEST:
                continue
            row.at.append(starts[word])
            row.target.append(number)
            for name, classes in outputs.items():
                if target["kind"] is None and target["starts"] is None:
                    label = SKIPPED  # an example without labels
                elif name == "start":
                    label = int(word in target["starts"])
                elif name == "kind" or real:
                    label = classes.index(target[name]) if target[name] in classes else SKIPPED
                else:
                    label = SKIPPED
                row.labels[name].append(label)
    return row


def batches(found: Sequence[Row], size: int, rng: Random) -> Iterator[list[Row]]:
    """Rows of about one length together, in a new order each time."""
    order = sorted(range(len(found)), key=lambda n: (len(found[n].pieces) // 6, rng.random()))
    cut = [order[at : at + size] for at in range(0, len(order), size)]
    rng.shuffle(cut)
    for part in cut:
        yield [found[n] for n in part]


def scores(network: nn.Module, batch: Sequence[Row], device: torch.device) -> dict[str, Tensor]:
    """A network's scores at every word of a batch that is asked about, in order."""
    longest = max(len(row.pieces) for row in batch)
    pieces, parts = torch.zeros(2, len(batch), longest, dtype=torch.long)
    for number, row in enumerate(batch):
        pieces[number, : len(row.pieces)] = torch.tensor(row.pieces)
        parts[number, : len(row.parts)] = torch.tensor(row.parts)
    at = (
        torch.tensor([number for number, row in enumerate(batch) for _ in row.at]),
        torch.tensor([place for row in batch for place in row.at]),
    )
    result: dict[str, Tensor] = network(pieces.to(device), parts.to(device), (at[0].to(device), at[1].to(device)))
    return result


def told(teachers: Sequence[Teacher], batch: Sequence[Row], device: torch.device) -> dict[str, Tensor]:
    """The mean of the teachers' probabilities, by output."""
    with torch.no_grad(), torch.autocast(device.type, torch.bfloat16):
        each = [scores(teacher, batch, device) for teacher in teachers]
    return {name: torch.stack([e[name].float().softmax(1) for e in each]).mean(0) for name in each[0]} if each else {}


def loss_of(
    found: dict[str, Tensor],
    labels: dict[str, Tensor],
    told_by: dict[str, Tensor],
    weights: dict[str, Tensor],
    smoothing: float,
) -> Tensor:
    """What is to be made small: how unlikely the labels are held, and how far from what the teachers tell."""
    loss = torch.zeros((), device=next(iter(found.values())).device)
    for name, output in found.items():
        hard = soft = torch.zeros_like(loss)
        if (labels[name] != SKIPPED).any():
            hard = F.cross_entropy(
                output, labels[name], weights.get(name), ignore_index=SKIPPED, label_smoothing=smoothing
            )
        if name in told_by:
            soft = -(told_by[name] * output.log_softmax(1)).sum(1).mean()
        loss = loss + WEIGHT[name] * ((1 - TAUGHT) * hard + TAUGHT * soft if told_by else hard)
    return loss


def train(
    tagger: Tagger | Teacher,
    examples: Sequence[dict[str, Any]],
    options: argparse.Namespace,
    device: torch.device,
    teachers: Sequence[Teacher] = (),
) -> None:
    """Train; prints the loss of every round."""
    rng = Random(options.seed if options.order is None else options.order)
    found = [row_of(example, tagger.outputs) for example in examples]
    heads = [p for n, p in tagger.named_parameters() if n.startswith("out.")]
    body = [p for n, p in tagger.named_parameters() if not n.startswith("out.")]
    groups = [{"params": body, "base": options.rate}, {"params": heads, "base": 1e-3}]
    optimiser = torch.optim.AdamW(groups, lr=options.rate, weight_decay=0.01, fused=device.type == "cuda")
    light = torch.ones(len(tagger.outputs["component"]), device=device)
    light[tagger.outputs["component"].index(NOWHERE)] = options.light
    steps, step, began = options.rounds * math.ceil(len(found) / options.batch), 0, time.monotonic()
    for number in range(options.rounds):
        tagger.train()
        total, count = torch.zeros((), device=device), 0
        if options.varied:
            found = [row_of(example, tagger.outputs, rng) for example in examples]
        for batch in batches(found, options.batch, rng):
            if not any(row.at for row in batch):
                continue
            for group in optimiser.param_groups:
                group["lr"] = group["base"] * min(1, (step + 1) / 100) * max(0.0, 1 - step / steps)
            labels = {
                name: torch.tensor([label for row in batch for label in row.labels[name]]).to(device)
                for name in tagger.outputs
            }
            told_by = told(teachers, batch, device)
            with torch.autocast(device.type, torch.bfloat16, enabled=device.type == "cuda"):
                output = {name: table.float() for name, table in scores(tagger, batch, device).items()}
            loss = loss_of(output, labels, told_by, {"component": light}, options.smoothing)
            optimiser.zero_grad()
            loss.backward()  # type: ignore[no-untyped-call]
            torch.nn.utils.clip_grad_norm_(tagger.parameters(), 1.0)
            optimiser.step()
            step, total, count = step + 1, total + loss.detach(), count + 1
        print(f"round {number}: loss {float(total) / count:.3f}, {time.monotonic() - began:.0f} s", flush=True)


def measured(tagger: Tagger | Teacher, found: Sequence[Row], device: torch.device) -> dict[str, str]:
    """How many of the targets are named rightly, by output; starts by word."""
    tagger.eval()
    right, asked = Counter[str](), Counter[str]()
    for row in found:
        if not row.at:
            continue
        with torch.no_grad():
            shares = {name: table.softmax(1).cpu() for name, table in scores(tagger, [row], device).items()}
        for number, target in enumerate(row.example["targets"]):
            mine = [n for n, belongs in enumerate(row.target) if belongs == number]
            real = target["kind"] not in (None, NONE)
            for name in ("kind", "role", "component", "withdrawn", "phase", "trend"):
                if mine and target[name] and (name == "kind" or real):
                    best = tagger.outputs[name][int(shares[name][mine].mean(0).argmax())]
                    group = f"{name}, {target[name]}" if target[name] in RARE else name
                    asked[group] += 1
                    right[group] += best == target[name]
                    if name == "kind":
                        asked[f"{group} (rules)"] += 1
                        right[f"{group} (rules)"] += target["by_rule"] == target["kind"]
        for n, label in enumerate(row.labels["start"]):
            if label != SKIPPED:
                asked["start"] += 1
                right["start"] += int(shares["start"][n].argmax()) == label
    return {group: f"{right[group]}/{asked[group]} = {right[group] / asked[group]:.3f}" for group in sorted(asked)}


def lines_of(path: Path) -> list[dict[str, Any]]:
    """The examples of a file."""
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]


def begun(options: argparse.Namespace, outputs: dict[str, list[str]]) -> Tagger | Teacher:
    """The network to train, with the weights it starts from."""
    pieces = len(vocabulary())
    if options.start.suffix != ".npz":
        start = torch.load(options.start, weights_only=True)
        network: Tagger | Teacher = (
            Teacher(pieces, outputs, options.dropout)
            if RELATIVE in start
            else Tagger(pieces, options.layers, outputs, options.dropout)
        )
        network.begin(start)
        return network
    tagger = Tagger(pieces, options.layers, outputs, options.dropout)
    tagger.go_on(unpacked(options.start.read_bytes()))
    return tagger


def main() -> None:
    """Train the tagger and write its weights."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("examples", type=Path)
    parser.add_argument("start", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--layers", type=int, default=6)
    parser.add_argument("--rounds", type=int, default=8)
    parser.add_argument("--batch", type=int, default=32)
    parser.add_argument("--rate", type=float, default=1.5e-4)
    parser.add_argument("--smoothing", type=float, default=0.02)
    parser.add_argument("--dropout", type=float, default=0.1)
    parser.add_argument("--varied", action="store_true", help="other numbers, words not understood, every round")
    parser.add_argument("--light", type=float, default=LIGHT, help="weight of 'no part'")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--order", type=int, help="another seed for the order of the examples alone")
    parser.add_argument("--without", nargs="*", default=[])
    parser.add_argument("--taught-by", type=Path, nargs="*", default=[])
    parser.add_argument("--unlabelled", type=Path, nargs="*", default=[])
    options = parser.parse_args()
    torch.manual_seed(options.seed)
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    torch.set_float32_matmul_precision("high")
    examples = lines_of(options.examples)
    learned = [example for example in examples if example["table"] not in options.without]
    teachers = [loaded(path, len(vocabulary())).to(device) for path in options.taught_by]
    outputs = teachers[0].outputs if teachers else outputs_of(learned)
    tagger = begun(options, outputs).to(device)
    train(tagger, learned + [e for path in options.unlabelled for e in lines_of(path)], options, device, teachers)
    for table in ["", *options.without] if options.without else []:
        left_out = [e for e in examples if e["table"] == table or (not table and e["table"] in options.without)]
        counts = measured(tagger, [row_of(example, outputs) for example in left_out], device)
        print(table or "all left out", "; ".join(f"{name} {share}" for name, share in counts.items()), flush=True)
    if isinstance(tagger, Teacher):
        saved(tagger, options.out)
    else:
        options.out.write_bytes(packed(tagger.tables(), options.layers, outputs))
    print(options.out.name, options.out.stat().st_size, "bytes")


if __name__ == "__main__":
    main()
