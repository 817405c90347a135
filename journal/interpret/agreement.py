"""Two listeners' readings of the same words, brought together.

Both narrations went through the same language stage.  Readings are aligned utterance by utterance: equal amounts are
confirmed, differing ones at the same place carry each other's value and a doubt, and what one listener alone heard is
doubted too, unless the other heard its very number without making a reading of it and such numbers were counted right.
Nothing is ever averaged or silently replaced.
"""

from __future__ import annotations

import tomllib
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache
from importlib import resources
from typing import TypeVar

from journal.domain.reading import Alternative, Doubt, Evidence, Reading
from journal.domain.speech import Utterance
from journal.domain.unit_table import symbol_of
from journal.domain.visit import Equipment, Field, Finding, Interpretation, Note, WorkDone
from journal.interpret.document import pieces_of
from journal.interpret.narration import overheard
from journal.interpret.numbers.runs import is_number_word
from journal.interpret.places.having import AT_TERMINALS, can_have

PIECES = 3  # small numbers in a row that may be one large one, written in pieces
LEAST_COUNTS = 10
"""Fewer counted differences than this decide nothing."""

MOST_WRONG = Decimal("0.1")
"""The share of wrong ones up to which what one listener alone heard is shown without a doubt."""

T = TypeVar("T", Finding, WorkDone, Note, Field)
Place = tuple[str, int]  # recording, utterance


@dataclass(frozen=True, slots=True)
class Reliability:
    """How often each listener was right where they differed in one way."""

    first: int
    second: int
    neither: int

    @property
    def prefers_second(self) -> bool:
        return self.first + self.second + self.neither >= LEAST_COUNTS and self.second > self.first


@dataclass(frozen=True, slots=True)
class Lone:
    """How often something was right that one listener alone heard, of a number that both heard."""

    right: int
    wrong: int

    @property
    def trusted(self) -> bool:
        return self.right >= LEAST_COUNTS and self.wrong <= MOST_WRONG * (self.right + self.wrong)


def agree(
    first: Interpretation,
    second: Interpretation,
    first_words: Sequence[Utterance] = (),
    second_words: Sequence[Utterance] = (),
) -> Interpretation:
    """Return the first listener's interpretation with its readings confirmed, doubted or completed by the second's.

    The words are those that the interpretations come from.  What is no number (findings, work, notes, machines) is
    taken from the second listener in the utterances it heard, because it knows far more words; from the first
    elsewhere.
    """
    equipment, names = _machines(first.equipment, second.equipment)
    theirs: dict[Place, list[Reading]] = defaultdict(list)
    for reading in second.readings:
        theirs[_place(reading.evidence)].append(reading)
    mine: dict[Place, list[Reading]] = defaultdict(list)
    for reading in first.readings:
        known_as = names.get(reading.equipment or "", reading.equipment)
        mine[_place(reading.evidence)].append(replace(reading, equipment=known_as))
    merged: list[Reading] = []
    said = [{(one.recording, one.index): one for one in words} for words in (first_words, second_words)]
    for place in sorted(set(mine) | set(theirs)):
        ours, others = mine.get(place, []), theirs.get(place, [])
        merged += _merge(
            ours, others, _Heard(said[0], place, ours, first.work), _Heard(said[1], place, others, second.work)
        )
    heard = frozenset(said[1])
    return replace(
        first,
        readings=tuple(merged),
        findings=_better_words(first.findings, second.findings, heard),
        work=_better_words(first.work, second.work, heard),
        notes=_better_words(first.notes, second.notes, heard),
        fields=_facts(first.fields, second.fields, heard),
        equipment=equipment,
        steps=tuple(dict.fromkeys(first.steps + second.steps)),
    )


def _machines(
    first: tuple[Equipment, ...], second: tuple[Equipment, ...]
) -> tuple[tuple[Equipment, ...], dict[str, str]]:
    """The machines of a visit, and what the first listener's names become; the second's where both know as many."""
    if len(first) != len(second):
        return max(first, second, key=len), {}
    machines = tuple(
        replace(
            theirs, **{name: getattr(theirs, name) or getattr(mine, name) for name in ("refrigerant", "type", "use")}
        )
        for mine, theirs in zip(first, second, strict=True)
    )
    return machines, {mine.name: theirs.name for mine, theirs in zip(first, second, strict=True)}


def _facts(mine: tuple[Field, ...], theirs: tuple[Field, ...], heard: frozenset[Place]) -> tuple[Field, ...]:
    """Named facts as the better listener heard them; where the other heard another value, both are told."""
    kept = []
    for fact in _better_words(mine, theirs, heard):
        where = (fact.name, _place(fact.evidence))
        same = [other.value for other in (*mine, *theirs) if (other.name, _place(other.evidence)) == where]
        others = [value for value in same if value.casefold() != fact.value.casefold()]
        if others:
            why = Doubt("listeners differ", f"The other listener heard '{others[0]}'.")
            fact = replace(fact, doubts=(*fact.doubts, why))
        kept.append(fact)
    return tuple(kept)


def _better_words(mine: tuple[T, ...], theirs: tuple[T, ...], heard: frozenset[Place]) -> tuple[T, ...]:
    kept = tuple(part for part in mine if _place(part.evidence) not in heard)
    return tuple(sorted(kept + theirs, key=lambda part: _place(part.evidence)))


class _Heard:
    """What a listener heard in an utterance besides its readings; looked at only when it is asked for."""

    def __init__(
        self,
        said: Mapping[Place, Utterance],
        place: Place,
        readings: Sequence[Reading],
        work: Sequence[WorkDone],
    ) -> None:
        self._utterance, self._before = said.get(place), said.get((place[0], place[1] - 1))
        self._used = {reading.value for reading in readings}
        self._used |= {done.amount for done in work if _place(done.evidence) == place}

    def holds(self, reading: Reading) -> bool:
        """Whether the number of another listener's reading stood like a meter's here too and became nothing.

        Its unit must have been said, or its word heard by both.  Digits behind a letter ('Q79') are half a word that
        was not understood.
        """
        if self._utterance is None or reading.value is None or reading.value in self._used:
            return False
        last = _plain(reading.evidence.said.split()[-1]) if reading.evidence and reading.evidence.said else ""
        pieces = pieces_of(self._utterance)
        if "unit" in dict(reading.inferred) and last not in {p.text for p in pieces if not is_number_word(p)}:
            return False
        halves = (p for n, p in enumerate(pieces) if p.glued and p.number is not None and pieces[n - 1].text.isalpha())
        if reading.value in {piece.number for piece in halves}:
            return False
        return reading.value in overheard(self._utterance, self._before)


def _plain(word: str) -> str:
    return word.lower().strip(".,;:?!")


def _merge(mine: Sequence[Reading], theirs: Sequence[Reading], my_words: _Heard, their_words: _Heard) -> list[Reading]:
    """Bring together what two listeners heard in one utterance, in the order spoken."""
    merged: list[Reading] = []
    gap_mine: list[Reading] = []
    gap_theirs: list[Reading] = []
    for ours, other in _aligned(mine, theirs):
        if ours is not None and other is not None:
            merged += _differing(gap_mine, gap_theirs, my_words, their_words)
            gap_mine, gap_theirs = [], []
            merged.append(_confirmed(ours, other))
        elif ours is not None:
            gap_mine.append(ours)
        elif other is not None:
            gap_theirs.append(other)
    return merged + _differing(gap_mine, gap_theirs, my_words, their_words)


def _aligned(mine: Sequence[Reading], theirs: Sequence[Reading]) -> Iterable[tuple[Reading | None, Reading | None]]:
    """Pair equal amounts in order, as many as possible (longest common subsequence)."""
    best = [[0] * (len(theirs) + 1) for _ in range(len(mine) + 1)]
    for i in range(len(mine) - 1, -1, -1):
        for j in range(len(theirs) - 1, -1, -1):
            same = best[i + 1][j + 1] + 1 if same_amount(mine[i], theirs[j]) else 0
            best[i][j] = max(same, best[i + 1][j], best[i][j + 1])
    i = j = 0
    while i < len(mine) and j < len(theirs):
        if same_amount(mine[i], theirs[j]) and best[i][j] == best[i + 1][j + 1] + 1:
            yield mine[i], theirs[j]
            i, j = i + 1, j + 1
        elif best[i + 1][j] >= best[i][j + 1]:
            yield mine[i], None
            i += 1
        else:
            yield None, theirs[j]
            j += 1
    for reading in mine[i:]:
        yield reading, None
    for reading in theirs[j:]:
        yield None, reading


def same_amount(one: Reading, other: Reading) -> bool:
    """True when two readings hold the same number (or range, or state), unit and standing."""
    return (
        one.value == other.value
        and (one.low, one.high, one.state, one.unit) == (other.low, other.high, other.state, other.unit)
        and one.withdrawn == other.withdrawn
    )


def _confirmed(ours: Reading, other: Reading) -> Reading:
    """The same amount from both: doubts of one hearing fall, a differing place is doubted, an unsaid one filled in."""
    doubts = _left(ours)
    changes: dict[str, object] = {}
    for name, what in (("points", "where it was taken"), ("component", "what it was taken on"), ("role", "its role")):
        mine, theirs = getattr(ours, name), getattr(other, name)
        if mine == theirs:
            continue
        fuller = _fuller(mine, theirs)
        if fuller is not None:
            changes[name] = mine if fuller == "first" else theirs
            if name == "points" and not _table().places[fuller].trusted:
                doubts.append(_differ(f"Only the {fuller} listener heard {what}."))
        elif name != "component":
            shown = "-".join(theirs) if isinstance(theirs, tuple) else theirs
            doubts.append(_differ(f"The two listeners agree on the number but not on {what}: the other heard {shown}."))
    heard_by = tuple(dict.fromkeys(ours.heard_by + other.heard_by))
    return replace(ours, heard_by=heard_by, doubts=tuple(doubts), **changes)  # type: ignore[arg-type]


def _fuller(mine: object, theirs: object) -> str | None:
    """The listener that heard more where the other heard nothing, or one of two points; None where they differ."""
    if not (mine and theirs):
        return "first" if mine else "second"
    if isinstance(mine, tuple) and isinstance(theirs, tuple) and (set(mine) < set(theirs) or set(mine) > set(theirs)):
        return "first" if len(mine) > len(theirs) else "second"
    return None


def _differing(
    mine: Sequence[Reading], theirs: Sequence[Reading], my_words: _Heard, their_words: _Heard
) -> list[Reading]:
    """What stands between two agreements: what can be the same words is paired, the rest one listener heard alone."""
    merged: list[Reading] = []
    left = [] if _in_pieces(mine, theirs) else list(theirs)
    for ours in mine:
        partner = max(left, key=lambda other: _likeness(ours, other), default=None)
        if partner is None or not _likeness(ours, partner):
            merged.append(_alone(ours, "first", their_words))
            continue
        for passed in left[: left.index(partner)]:
            merged.append(_alone(passed, "second", my_words))
        left = left[left.index(partner) + 1 :]
        merged.append(_one_of(ours, partner))
    return merged + [_alone(other, "second", my_words) for other in left]


def _in_pieces(mine: Sequence[Reading], theirs: Sequence[Reading]) -> bool:
    """'two thirteen two to three' and '2 13 2 3 8.': the second listener only wrote small numbers with no unit, one
    after the other, that hold the first one's digits; no reading is made of them."""
    bare = [r for r in theirs if r.value is not None and 0 <= r.value < 100 and "unit" in dict(r.inferred)]
    digits = "".join(_digits(r.value) for r in bare if r.value is not None)
    held = any(r.value is not None and r.value >= 100 and _digits(r.value) in digits for r in mine)
    return len(bare) == len(theirs) >= PIECES and held


def _likeness(one: Reading, other: Reading) -> int:
    """How likely two readings that differ come from the same words; 0 is not at all."""
    if one.withdrawn or other.withdrawn:
        return 0
    if one.value is not None and one.value == other.value:
        return 3
    same_kind = one.kind == other.kind
    related = kind_of_difference(one, other) not in ("unit", "other")
    return 2 * (related and one.value is not None) + same_kind


def _one_of(ours: Reading, other: Reading) -> Reading:
    difference = kind_of_difference(ours, other)
    shown, hidden = (other, ours) if _table().differences[difference].prefers_second else (ours, other)
    if hidden.points and shown.kind not in AT_TERMINALS:
        shown, hidden = hidden, shown  # 'two eleven one to two' is no temperature of 211.1
    kept = tuple(a for a in shown.alternatives if a.value != hidden.value)
    if hidden.value is not None or hidden.state is not None:  # a range is no alternative; the doubt tells it
        told = f"heard by {hidden.heard_by[0]}"
        kept = (Alternative(hidden.value, hidden.unit, hidden.kind, hidden.state, told), *kept)
    way = "" if difference == "other" else f" ({difference})"
    said = f"One listener heard {_spoken(ours)}, the other {_spoken(other)}{way}."
    place = {name: getattr(shown, name) or getattr(hidden, name) for name in ("points", "component", "equipment")}
    if shown.component is None and place["component"] is not None and not can_have(place["component"], shown.kind):
        place["component"] = None  # the other took it for a reading of another kind
    return replace(
        shown,
        id=ours.id,
        evidence=ours.evidence or other.evidence,
        doubts=(*shown.doubts, _differ(said)),
        alternatives=kept,
        **place,
    )


def _alone(reading: Reading, name: str, other: _Heard) -> Reading:
    """What the listener ``name`` alone made a reading of; the other may have heard its number all the same."""
    if reading.withdrawn:
        return reading
    if not other.holds(reading):
        return replace(reading, doubts=(*reading.doubts, _differ(f"Only the {name} listener heard it.")))
    doubts = _left(reading)
    if not _table().numbers.trusted:
        doubts.append(_differ(f"Both listeners heard its number, only the {name} what it measures."))
    return replace(reading, doubts=tuple(doubts))


def _left(reading: Reading) -> list[Doubt]:
    """The doubts that a second, equal hearing does not clear."""
    return [doubt for doubt in reading.doubts if doubt.code not in _table().clears]


def kind_of_difference(first: Reading, second: Reading) -> str:
    """Name how the second listener's reading differs from the first's, as the table of reliability does."""
    if first.value is None or second.value is None:
        return "other"
    if first.value == second.value:
        return "unit"
    a, b = (_digits(value) for value in (first.value, second.value))
    if a.strip("0") == b.strip("0"):
        return "decimal point"
    if _teen_or_ty(first.value, second.value):
        return "teen or ty"
    if a in b or b in a:
        return "digits the first missed" if a in b else "digits the second missed"
    return "other"


def _digits(value: Decimal) -> str:
    return "".join(str(digit) for digit in value.as_tuple().digits)


def _teen_or_ty(one: Decimal, other: Decimal) -> bool:
    """13 and 30, 113 and 130, 1.15 and 1.50: a teen in place of its ten."""
    if one.as_tuple().exponent != other.as_tuple().exponent:
        return False
    low, high = sorted(int(_digits(value)) for value in (one, other))
    ten = high % 100 // 10
    return 3 <= ten <= 9 and high % 10 == 0 and high - low == 10 * ten - (10 + ten)


def _spoken(reading: Reading) -> str:
    """The amount as it stands on paper: '208 to 230 V', 'at most 5 Ω', 'open'."""
    if reading.state is not None:
        return reading.state.value
    low, high = reading.low, reading.high
    if reading.value is not None:
        number = f"{reading.value}"
    elif low is not None and high is not None:
        number = f"{low} to {high}"
    else:
        number = f"at least {low}" if low is not None else f"at most {high}"
    return f"{number} {symbol_of(reading.unit)}".strip()


def _differ(why: str) -> Doubt:
    return Doubt("listeners differ", why)


def _place(evidence: Evidence | None) -> Place:
    return (evidence.recording, evidence.utterance) if evidence else ("", -1)


@dataclass(frozen=True, slots=True)
class _Table:
    """``agreement.toml``."""

    clears: frozenset[str]
    differences: dict[str, Reliability]
    places: dict[str, Lone]
    numbers: Lone


@cache
def _table() -> _Table:
    text = resources.files("journal.interpret").joinpath("agreement.toml").read_text(encoding="utf-8")
    data = tomllib.loads(text)
    differences = {
        name: Reliability(row["first"], row["second"], row["neither"]) for name, row in data["differences"].items()
    }
    places = {name: Lone(row["right"], row["wrong"]) for name, row in data["places"].items()}
    numbers = Lone(data["numbers"]["right"], data["numbers"]["wrong"])
    return _Table(frozenset(data["clears"]), differences, places, numbers)
