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
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from importlib import resources

from journal.domain.kind import Kind
from journal.domain.reading import Alternative, Doubt
from journal.interpret.board import Hit
from journal.interpret.document import Piece
from journal.interpret.numbers.amounts import Amount
from journal.interpret.numbers.runs import is_number_word
from journal.interpret.places.behind import VAGUE
from journal.interpret.quantities.quantities import reference_of
from journal.interpret.quantities.surroundings import DIFFERENCES, Quantity, Surroundings
from journal.interpret.quantities.unit_doubts import FAR_FROM_MATE
from journal.interpret.quantities.unsaid import COMPARED
from journal.interpret.quantities.unsaid_against import AGAINST
from journal.interpret.vocabulary import small_words, table

NONE = "none"
NUMBER = "#"
DOUBTED = 0.1
"""Below this share a reading is doubted.

Of 480 narrations of six authors it had not learned from, 916 readings shown: at 0.05, 0.1, 0.25 wrong without a doubt
60, 58, 51; right ones doubted 71, 73, 93 of 791; without this doubt, and with the weights learned before, 82 and 44.
"""
UNLIKELY = 0.1  # below this share the rule's kind is doubted
LIKELY = 0.6  # when another has at least this much
SURE = 0.8  # from here on that one is shown
ENOUGH = 0.8  # from here on it is shown where the rules know nothing
IDLE = 0.9  # from here on a number is doubted to be a reading: 23 of 1,284 readings of left-out phrases
SURELY_IDLE = 0.97  # a number without unit and points is none: of those 480 narrations 13 were left out, no reading
#: where a unit was taken from that was said for another number: the words around this one have no say in it
SAID_FOR_ANOTHER = (
    FAR_FROM_MATE,
    "list",
    "bound of the reading before",
    "setting before",
    "static before",
    "pressure before",
    COMPARED,
    AGAINST,
)
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
    pieces: Sequence[Piece],
    first: int,
    last: int,
    value: Decimal | None,
    previous: str,
    earlier: Sequence[str],
    hits: Mapping[str, Sequence[Hit]],
) -> dict[str, float]:
    """What is told of the number at pieces ``first`` to ``last``: words by place and by side, what the vocabulary has
    beside it, size, the one before.

    ``previous`` is the class of the reading before, ``earlier`` the shape of the utterance before, ``hits`` the
    phrases of the vocabulary by context: a part counts the same by whatever name it is called.
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
    found.update(_vocabulary(hits, first, last))
    if value is not None:
        size = abs(value)
        found[f"size={int(size.ln() * 2)}" if size else "size=0"] = 1.0
        found["whole" if value == int(value) else "broken"] = 1.0
        if value < 0:
            found["below zero"] = 1.0
    return found


def _vocabulary(hits: Mapping[str, Sequence[Hit]], first: int, last: int) -> dict[str, float]:
    """The nearest phrase of each context before and behind the number, and all of them, less the farther they are."""
    found: dict[str, float] = {}
    for context, phrases in hits.items():
        left = sorted((hit for hit in phrases if hit.last < first), key=lambda hit: (-hit.last, hit.first))
        right = sorted((hit for hit in phrases if hit.first > last), key=lambda hit: (hit.first, -hit.last))
        for side, ordered, reach in (("l", left, 6), ("r", right, 5)):
            for place, hit in enumerate(ordered):
                away = first - hit.last if side == "l" else hit.first - last
                if not place:
                    found[f"{side}@{context}={hit.name}"] = 1 / (1 + (away - 1) / reach)
                found.setdefault(f"{side.upper()}@{context}={hit.name}", 1 / (1 + away / reach))
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
    text = resources.files("journal.interpret.quantities").joinpath("opinion.json").read_text(encoding="utf-8")
    data = json.loads(text)
    return Weights(tuple(data["classes"]), tuple(data["bias"]), data["weights"])


def with_opinion(found: Quantity | None, amount: Amount, around: Surroundings) -> Quantity | None:
    """The rule's quantity, doubted or replaced where the words around the number speak against it; or None.

    A number for which the rules found nothing is shown, doubted, as what the words around it are sure of.
    """
    if amount.difference or around.nominal or around.stressed:
        return found  # what was said stands for the number: 'four over set', 'got my twenty four', 'nothing zero'
    shares = _shares(amount, around)
    if found is None:
        return _by_the_words(amount, around, shares)
    if around.in_turn and found.inferred.get("unit") == "reading before":
        return found  # 'number two's thirty': which of several it is, however such words sound
    idle = shares.get(NONE, 0.0)
    bare = amount.unit is None and amount.value is not None and around.points is None
    named = _named_for_it(found, amount, around)
    told = named or _meter_says(amount, around) or _along_part(found, amount, around)
    if idle >= SURELY_IDLE and bare and not told:
        return None
    if idle >= (IDLE if bare else SURELY_IDLE) and not named:
        found.doubts.append(Doubt("maybe no reading", "The words around this number sound like no reading of a meter."))
        return found
    # its neighbour's unit was said
    listed = found.inferred.get("unit") in SAID_FOR_ANOTHER
    sure = table("unsaid").get(around.topic or "", {}).get("sure") and found.inferred.get("unit") == f"'{around.topic}'"
    plain = not found.doubts and not listed and not sure and not _called(found, around)
    if plain and (amount.unit is None or _degrees(found, amount)):
        found = _of_other_kind(found, amount, around, shares)
    if not (found.doubts or named) and _unheard_of(found, amount, shares):
        why = f"The words around this number do not sound like {_a(found.kind)}."
        found.doubts.append(Doubt("maybe no reading" if amount.unit else "kind unsure", why))
    return found


def _meter_says(amount: Amount, around: Surroundings) -> bool:
    """'the dial on the wall says plus two': a verb of showing right before the number."""
    at = amount.first - 1
    at -= around.board.word(at) == "plus"
    return around.board.word(at) in small_words("shows")


def _named_for_it(found: Quantity, amount: Amount, around: Surroundings) -> bool:
    """'subcooling nine glass clear', 'the pressure's sitting at one eighty': its quantity was named right before it."""
    at, between = amount.first - 1, {*table("unsaid")["placing"], *small_words("no_attributes"), "sitting"}
    while at >= 0 and around.board.owner[at] is None and around.board.word(at) in between:
        at -= 1
    owner = around.board.owner[at] if at >= 0 else None
    return owner is not None and owner.label == "kind" and owner.value == found.kind.value


def _along_part(found: Quantity, amount: Amount, around: Surroundings) -> bool:
    """'discharge line about eight inches out of the compressor one ninety four': who says where along it measured."""
    told = (claim.value == "distance" for claim in around.board.labelled("no reading"))
    return around.component_how == "said" and found.inferred.get("unit") == around.component and any(told)


def _shares(amount: Amount, around: Surroundings) -> dict[str, float]:
    drafts = around.context.drafts
    previous = label_of(drafts[-1].reading.kind, drafts[-1].reading.unit) if drafts else "-"
    board = around.board
    told = features(
        board.pieces,
        amount.number_first,
        amount.number_last,
        amount.key,
        previous,
        around.context.earlier,
        board.hits,
    )
    return learned().shares(told)


def _by_the_words(amount: Amount, around: Surroundings, shares: dict[str, float]) -> Quantity | None:
    """What the words around a number without a unit are sure that it measures."""
    best = max(shares, key=shares.__getitem__)
    if amount.unit is not None or shares[best] < ENOUGH or not _usual_unit(best):
        return None
    kind, unit = _kind_of(best), _usual_unit(best)
    doubt = Doubt("kind unsure", f"Only the words around this number say that it is {_a(kind)}.")
    return Quantity(unit, kind, {"unit": "words around it"}, [doubt], [], reference_of(unit, amount, around))


def _unheard_of(found: Quantity, amount: Amount, shares: dict[str, float]) -> bool:
    """Such words hardly ever stand around a reading of this kind; where its unit was said, around any reading."""
    own = shares.get(label_of(found.kind, found.unit))
    if own is None:
        return False
    return own < DOUBTED * (1 if amount.unit is None else own + shares.get(NONE, 0.0))


def _a(kind: Kind) -> str:
    return f"{'an' if kind.value[0] in 'aeiou' else 'a'} {kind.value}"


def _called(found: Quantity, around: Surroundings) -> bool:
    """'condensing temperature by the gauge is ninety nine': the quantity was called by a name that leaves no choice."""
    board, kind = around.board, found.kind.value
    parts = (claim for claim in board.labelled("component") if claim.value == around.component)
    if any(kind in board.text(part.first, part.last).split() for part in parts):
        return True  # 'fifty eight oil pressure'
    named = {claim.value for claim in board.labelled("kind")}
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
