"""A second opinion on what a number measures, and whether it is a reading at all, learned from the open phrase tables.

The rules take an unsaid unit from one thing near the number: the part, the meter's mode, the number before.  A
multinomial logistic regression over all the words around it, weighed in ``opinion.json``, is asked too.  Where it finds
the rule's answer very unlikely, the reading is doubted; where it is also sure of another kind, that one is shown and
the rule's is kept as the alternative.  A number that most likely counts or names something is doubted, and left out
where no unit was said and hardly anything speaks for it.  ``models/recipe/opinion.py`` learns the weights.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from importlib import resources

from journal.domain.kind import Kind
from journal.domain.reading import Alternative, Doubt
from journal.interpret.amounts import Amount
from journal.interpret.behind import VAGUE
from journal.interpret.document import Piece
from journal.interpret.quantities import reference_of
from journal.interpret.runs import is_number_word
from journal.interpret.surroundings import DIFFERENCES, Quantity, Surroundings
from journal.interpret.vocabulary import table

NONE = "none"
NUMBER = "#"
UNLIKELY = 0.1  # below this share the rule's kind is doubted
LIKELY = 0.6  # when another has at least this much
SURE = 0.8  # from here on that one is shown
IDLE = 0.9  # from here on a number is doubted to be a reading: 35 of these 2,546
SURELY_IDLE = 0.97  # from here on a number without unit and points is none: 9 of 2,546 readings of left-out phrases
BEFORE, BEHIND, EARLIER = 12, 7, 14  # words looked at in this utterance and at the end of the one before


def label_of(kind: Kind, unit: str | None) -> str:
    """The class of a reading: its kind, pressures by their unit too (microns and pounds are told about otherwise)."""
    return f"{kind.value} {unit}" if kind is Kind.PRESSURE else kind.value


def shape(pieces: Sequence[Piece]) -> list[str]:
    """Words with every run of number words as one sign."""
    shown: list[str] = []
    for piece in pieces:
        word = NUMBER if is_number_word(piece) else piece.text
        if not (word == NUMBER and shown and shown[-1] == NUMBER):
            shown.append(word)
    return shown


def features(
    pieces: Sequence[Piece], first: int, last: int, value: Decimal | None, previous: str, earlier: Sequence[str]
) -> dict[str, float]:
    """What is told of the number at pieces ``first`` to ``last``: words by place and by side, size, the one before.

    ``previous`` is the class of the reading before, ``earlier`` the shape of the utterance before.
    """
    while first and is_number_word(pieces[first - 1]):
        first -= 1
    while last + 1 < len(pieces) and is_number_word(pieces[last + 1]):
        last += 1
    left, right = shape(pieces[:first]), shape(pieces[last + 1 :])
    padded_left, padded_right = ["<", "<", "<", *left], [*right, ">", ">", ">"]
    found: dict[str, float] = {f"before={previous}": 1.0, f"{padded_left[-1]} _ {padded_right[0]}": 1.0}
    for place in range(3):
        found[f"l{place}={padded_left[-1 - place]}"] = 1.0
        found[f"r{place}={padded_right[place]}"] = 1.0
    found["ll=" + " ".join(padded_left[-2:])] = 1.0
    found["rr=" + " ".join(padded_right[:2])] = 1.0
    for mark, words, far in (("L", left[::-1][:BEFORE], 4.0), ("R", right[:BEHIND], 3.0)):
        for place, word in enumerate(words):
            found.setdefault(f"{mark}={word}", 1 / (1 + place / far))
    for place, word in enumerate(earlier[::-1][:EARLIER]):
        found.setdefault(f"P={word}", 0.5 / (1 + place / 6))
    if value is not None:
        size = abs(value)
        found[f"size={int(size.ln() * 2)}" if size else "size=0"] = 1.0
        found["whole" if value == int(value) else "broken"] = 1.0
        if value < 0:
            found["below zero"] = 1.0
    return found


@dataclass(frozen=True)
class Weights:
    """Classes, the bias of each, and for each feature its weights by class."""

    classes: tuple[str, ...]
    bias: tuple[float, ...]
    weights: dict[str, dict[str, float]]

    def shares(self, found: dict[str, float]) -> dict[str, float]:
        """The probability of every class."""
        scores = list(self.bias)
        for name, amount in found.items():
            for place, weight in self.weights.get(name, {}).items():
                scores[int(place)] += weight * amount
        top = max(scores)
        powers = [math.exp(score - top) for score in scores]
        total = sum(powers)
        return {name: power / total for name, power in zip(self.classes, powers, strict=True)}


@cache
def learned() -> Weights:
    """The weights the package carries."""
    text = resources.files("journal.interpret").joinpath("opinion.json").read_text(encoding="utf-8")
    data = json.loads(text)
    return Weights(tuple(data["classes"]), tuple(data["bias"]), data["weights"])


def with_opinion(found: Quantity, amount: Amount, around: Surroundings) -> Quantity | None:
    """The rule's quantity, doubted or replaced where the words around the number speak against it; or None."""
    if amount.difference or around.nominal or around.stressed:
        return found  # what was said stands for the number: 'four over set', 'got my twenty four', 'nothing zero'
    drafts = around.context.drafts
    previous = label_of(drafts[-1].reading.kind, drafts[-1].reading.unit) if drafts else "-"
    earlier, pieces = around.context.earlier, around.board.pieces
    shares = learned().shares(features(pieces, amount.number_first, amount.number_last, amount.key, previous, earlier))
    idle = shares.get(NONE, 0.0)
    if idle >= SURELY_IDLE and amount.unit is None and amount.value is not None and around.points is None:
        return None
    if idle >= IDLE:
        found.doubts.append(Doubt("maybe no reading", "The words around this number sound like no reading of a meter."))
        return found
    # its neighbour's unit was said
    listed = found.inferred.get("unit") in ("list", "bound of the reading before", "setting before", "static before")
    sure = table("unsaid").get(around.topic or "", {}).get("sure") and found.inferred.get("unit") == f"'{around.topic}'"
    plain = not found.doubts and not listed and not sure and not _called(found, around)
    if plain and (amount.unit is None or _degrees(found, amount)):
        return _of_other_kind(found, amount, around, shares)
    return found


def _called(found: Quantity, around: Surroundings) -> bool:
    """'condensing temperature by the gauge is ninety nine': the quantity was called by a name that leaves no choice."""
    named = {claim.value for claim in around.board.labelled("kind")}
    return found.kind is around.kind and found.kind.value in named and found.kind.value not in VAGUE


def _of_other_kind(found: Quantity, amount: Amount, around: Surroundings, shares: dict[str, float]) -> Quantity:
    """Doubted, or of the kind that the words around it sound like."""
    own = label_of(found.kind, found.unit)
    best = max((name for name in shares if _usual_unit(name)), key=shares.__getitem__)
    if best == own or shares.get(own, 1.0) >= UNLIKELY or shares[best] < LIKELY:
        return found
    kind, unit = _kind_of(best), _usual_unit(best)
    if found.unit.endswith("degC"):
        unit = unit.replace("degF", "degC")
    if amount.unit is not None and kind not in DIFFERENCES:
        return found  # 'degrees' were said
    doubt = Doubt("kind unsure", f"The words around this number sound like {kind.value}, not {found.kind.value}.")
    if shares[best] >= SURE:
        inferred = {**found.inferred, "unit": "words around it"}
        other = Alternative(kind=found.kind, unit=found.unit, why=f"{found.kind.value}, as the rules have it")
        return Quantity(unit, kind, inferred, [doubt], [other], reference_of(unit, amount, around))
    found.doubts.append(doubt)
    found.alternatives.append(Alternative(kind=kind, unit=unit, why=f"{kind.value}, by the words around it"))
    return found


def _degrees(found: Quantity, amount: Amount) -> bool:
    """Degrees were said, which may be a temperature or a difference of two."""
    return found.kind is Kind.TEMPERATURE and amount.unit in ("degF", "degC")


def _kind_of(label: str) -> Kind:
    return Kind.PRESSURE if label.startswith(f"{Kind.PRESSURE.value} ") else Kind(label)


def _usual_unit(label: str) -> str:
    """The unit of a class when none was said; empty for those that are never said without one, and for none."""
    if label.startswith(f"{Kind.PRESSURE.value} "):
        return label.rpartition(" ")[2]
    unit: str = table("kinds").get(label, {}).get("unit", "")
    return unit
