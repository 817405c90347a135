"""Runs of number words cut into amounts, in the light of the unit they will probably have.

The unit that follows a number decides how its words are grouped; where none follows, the last unit of a list, a word for
the kind or the place named before gives hints, and the cheapest grouping that fits its hint wins.  Whether a hint also
becomes the reading's unit is decided later (``unsaid``).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import pairwise
from typing import Any

from journal.interpret.amounts import Amount, shared_unit, tails, unit_at, unit_body
from journal.interpret.around import joined
from journal.interpret.board import Board
from journal.interpret.document import UNKNOWN
from journal.interpret.numbers import (
    Grouping,
    Number,
    Reader,
    confusable_values,
    groupings,
    is_number_word,
    runs,
    words,
)
from journal.interpret.vocabulary import table

FAR = 0.6  # cost above the best from which on another value of the same words is not kept
PARTED = 1.3  # the same for another way of parting the words
MOST_PARTS = 2
NEAR = 0.5  # cost between two ways of cutting below which both are plausible
CAPACITORS = ("dual capacitor", "capacitor", "run capacitor")
RATINGS = frozenset(Decimal(volts) for volts in table("plates")["capacitor_volts"])
LARGEST = Decimal(200)  # microfarads of a run capacitor, and its smaller half: common practice
SMALLER_HALF = Decimal(15)
MOST_POUNDS = 150  # a full recovery cylinder


@dataclass(frozen=True, slots=True)
class Hint:
    """A unit the numbers of a run may have, with the bounds in which the place has it."""

    unit: str | None
    above: Decimal | None = None
    below: Decimal | None = None

    def fits(self, way: Grouping) -> bool:
        for number in way.numbers:
            if (self.above is not None and number.value < self.above) or (
                self.below is not None and number.value >= self.below
            ):
                return False
        return True


def claim_amounts(board: Board) -> list[Amount]:
    """Claim every number that nothing else took, with its unit; return the amounts in the order of the sentence."""
    free = [owner is None for owner in board.owner]
    for hit in tails(board):
        free[hit.first : hit.last + 1] = [False] * (hit.last - hit.first + 1)
    found: list[Amount] = []
    for index, (first, behind) in enumerate(runs(board.pieces, free)):
        found += _amounts_of_run(board, first, behind, index)
    found = joined(board, sorted(found + _articles(board), key=lambda amount: amount.first))
    for amount in found:
        if board.free(amount.first, amount.last):
            rule = f"number ({amount.form}){' and unit' if amount.unit else ''}"
            board.claim("amount", amount.first, amount.last, amount, rule)
    return found


def _articles(board: Board) -> list[Amount]:
    """'an hour and a half', 'held an hour', 'a quarter hour': an article that counts one."""
    found = []
    for at in range(len(board.pieces) - 1):
        if board.word(at) not in ("a", "an") or not board.free(at, at + 1):
            continue
        unit = board.starts("units", at + 1)
        if unit is None or unit.name not in ("hour", "minute", "pound"):
            continue
        value, last = Decimal(1), unit.last
        if board.text(last + 1, last + 3) in ("and a half", "and a quarter"):
            value += Decimal("0.5") if board.word(last + 3) == "half" else Decimal("0.25")
            last += 3
        elif unit.name != "hour" or board.word(at - 1) not in table("not_readings")["held_words"]:
            continue
        if board.free(at, last):
            form = board.text(at + 1, unit.last)
            found.append(
                Amount(at, last, at, last, value=value, unit=unit.name, unit_form=form, run=-100 - at, form="article")
            )
    return found


def unit_behind(board: Board, behind: int) -> tuple[str, int] | None:
    """Return the unit behind a number and its last token, over 'of a', 'an', 'ish', 'or so'."""
    place = behind
    between = table("hedges")["before_units"]
    while place < len(board.pieces) and place - behind < 2 and board.word(place) in between:
        unit = unit_at(board, place, close=False)
        if unit:
            return unit
        place += 1
    return unit_at(board, place, close=place == behind)


def _hints(board: Board, first: int, behind: int) -> list[Hint]:
    """The units a run may have, said behind it, at the end of its list, by a kind word or a place before it."""
    unit = unit_behind(board, behind)
    if unit and not _is_header(board, first, unit):
        return [Hint(unit[0])]
    listed = _unit_of_list_end(board, behind)
    if listed and not unit:
        return [Hint(listed)]
    best: tuple[int, list[dict[str, Any]]] = (-1, [])
    for hit in board.hits.get("kinds", ()):
        if best[0] < hit.last < first:
            best = (hit.last, [{"unit": table("kinds")[hit.name]["unit"]}])
    for claim in board.labelled("component"):
        unsaid = table("components")[claim.value].get("unsaid", ())
        if best[0] < claim.last < first and unsaid:
            best = (claim.last, unsaid)
    for hit in board.hits.get("unsaid", ()):
        if best[0] <= hit.last < first or (best[0] < 0 and behind <= hit.first):
            best = (hit.last, table("unsaid")[hit.name]["unsaid"])
    if best[1]:
        return _in_turn(best[1])
    for claim in board.labelled("points"):
        families = {family for half in claim.value.halves for family, _ in half}
        if "winding" in families and families <= {"winding", "any", "control", "capacitor"}:
            return [Hint("ohm")]
    carried = board.hints.unit if board.hints else None
    return [Hint(carried)] if carried else []


def _in_turn(entries: Sequence[dict[str, Any]]) -> list[Hint]:
    """Entries hold in turn: an entry's numbers are those that no entry before it takes."""
    hints: list[Hint] = []
    above: Decimal | None = None
    below: Decimal | None = None
    for entry in entries:
        own_above = Decimal(str(entry["above"])) if "above" in entry else above
        own_below = Decimal(str(entry["below"])) if "below" in entry else below
        hints.append(Hint(entry["unit"], own_above, own_below))
        if "above" in entry and "below" not in entry:
            below = own_above
        elif "below" in entry and "above" not in entry:
            above = own_below
    return hints


def _unit_of_list_end(board: Board, behind: int) -> str | None:
    """'seven eight seven nine and eight two amps': the unit at the end holds for the list."""
    place = behind
    listed = {*table("hedges")["listed"], *table("hedges")["range"], "all"}
    while place < len(board.pieces):
        owner = board.owner[place]
        number = owner is None and is_number_word(board.pieces[place])
        if number or board.word(place) in listed or (owner is not None and owner.label == "points"):
            place += 1
            continue
        unit = unit_at(board, place, close=False)
        return unit[0] if unit and place > behind else None
    return None


def _is_header(board: Board, first: int, unit: tuple[str, int]) -> bool:
    """'volts 205 209 207 amps 13 13': a unit before its numbers; 'amps' heads the numbers behind it."""
    before = board.ends("units", first - 1)
    if before is None or not board.free(before.first, before.last):
        return False
    following = board.pieces[unit[1] + 1] if unit[1] + 1 < len(board.pieces) else None
    own = before.name
    return following is not None and is_number_word(following) and own != unit[0] and not own.startswith("shared")


def reader_for(board: Board, unit: str | None) -> Reader:
    """Return a reader of the board's numbers in the light of a unit."""
    body = unit_body(shared_unit(unit)["unit"] if unit and unit.startswith("shared") else unit)
    limit = body.get("up_to")
    return Reader(board.pieces, bool(body.get("tenths")), Decimal(limit) if limit else None)


def _best_way(board: Board, first: int, behind: int) -> tuple[list[Grouping], Reader, str | None]:
    """The groupings under the hint that makes them cheapest, among hints whose bounds they fit."""
    hints = _hints(board, first, behind) or [Hint(None)]
    best: tuple[float, list[Grouping], Reader, str | None] | None = None
    for hint in hints:
        reader = reader_for(board, hint.unit)
        ways = groupings(reader, first, behind)
        fitting = [way for way in ways if hint.fits(way)]
        if fitting and (best is None or fitting[0].cost < best[0]):
            best = (fitting[0].cost, fitting + [way for way in ways if way not in fitting], reader, hint.unit)
    if best is None:
        reader = reader_for(board, hints[0].unit)
        return groupings(reader, first, behind), reader, hints[0].unit
    return best[1], best[2], best[3]


def _amounts_of_run(board: Board, first: int, behind: int, index: int) -> list[Amount]:
    ways, reader, hint = _best_way(board, first, behind)
    if not ways:
        return []
    unit = unit_behind(board, behind)
    if unit is not None and _is_header(board, first, unit):
        unit = None
    jug = _jug_weight(board, ways, first, behind, index) if unit is None else None
    if jug is not None:
        return [jug]
    capacitor = _capacitor_marking(board, reader, ways, first, behind)
    best = capacitor or ways[0]
    amounts: list[Amount] = []
    for place, number in enumerate(best.numbers):
        said = unit if place == len(best.numbers) - 1 else None
        amounts.append(
            Amount(
                first=number.first,
                last=said[1] if said else number.last,
                number_first=number.first,
                number_last=number.last,
                value=number.value,
                unit=said[0] if said else None,
                unit_form=_unit_form(board, said, number.last) if said else "",
                hint=hint,
                hedged=said is not None and "ish" in board.text(number.last + 1, said[1]).split(),
                rivals=tuple(_rivals(reader, number, ways)),
                doubts=tuple(_doubts(board, number, best, ways)) if not capacitor else (),
                run=index,
                form=number.form,
                size=(capacitor is not None or (said is None and place == len(best.numbers) - 1))
                and _names_size(board, first, behind, marked=capacitor is not None),
            )
        )
    return amounts


def _jug_weight(board: Board, ways: Sequence[Grouping], first: int, behind: int, index: int) -> Amount | None:
    """'twenty seven eleven' on a refrigerant jug is 27 lb 11 oz; with a decimal point it would be 27.11 lb."""
    named = [claim.value for claim in board.labelled("component") if claim.first < behind + 4]
    carried = board.hints.component if board.hints is not None else None
    if (named[-1] if named else carried) != "cylinder" or ways[0].numbers[0].form == "decimal":
        return None
    for way in groupings(Reader(board.pieces), first, behind, keep=12):
        if len(way.numbers) != 2 or way.left_over:
            continue
        pounds, ounces = (number.value for number in way.numbers)
        if pounds == int(pounds) and ounces == int(ounces) and 0 < ounces < 16 and 0 < pounds < MOST_POUNDS:
            return Amount(
                first,
                behind - 1,
                first,
                behind - 1,
                value=pounds + ounces / 16,
                unit="pound",
                hint="pound",
                rivals=((Decimal(f"{int(pounds)}.{int(ounces)}"), "pounds and tenths"),),
                doubts=(("grouping", "Pounds and ounces, or pounds and tenths."),),
                run=index,
                form="pounds and ounces",
            )
    return None


def _unit_form(board: Board, said: tuple[str, int], last: int) -> str:
    hit = board.ends("units", said[1])
    return board.text(max(hit.first, last + 1) if hit else last + 1, said[1])


def _capacitor_marking(
    board: Board, reader: Reader, ways: Sequence[Grouping], first: int, behind: int
) -> Grouping | None:
    """'thirty five five three seventy' on a dual capacitor: two capacitances and a rating."""
    named = {claim.value for claim in board.labelled("component") if claim.first < behind + 4}
    if board.hints is not None and board.hints.component and not named:
        named = {board.hints.component}
    if not named & set(CAPACITORS):
        return _second_half(board, first, behind)
    whole = [n for n in ways[0].numbers if n.form in ("decimal", "words", "fraction", "written") and n.last > n.first]
    for way in groupings(replace(reader, tenths=False, up_to=None), first, behind, keep=12):
        values = [number.value for number in way.numbers]
        if way.left_over or any(number.form == "point left out" for number in way.numbers):
            continue
        if any(n.first <= left.last < n.last for n in whole for left, _ in pairwise(way.numbers)):
            continue
        rated = values[-1] in RATINGS and len(values) > 1
        pair = values[:-1] if rated else values
        if rated and len(pair) == 1 and pair[0] <= LARGEST:
            return way
        dual = len(pair) == 2 and pair[1] < pair[0] <= LARGEST and pair[1] <= SMALLER_HALF
        sized = dual and _names_size(board, first, behind, marked=True) and usual_halves(pair[0], pair[1])
        if dual and (rated or "dual capacitor" in named or sized):
            return way
    return None


def _second_half(board: Board, first: int, behind: int) -> Grouping | None:
    """'thirty five over five four forty' with no capacitor named: the smaller half and the rating."""
    before = board.pieces[first - 2] if first >= 2 else None
    if board.word(first - 1) not in ("over", "plus", "/") or before is None or not is_number_word(before):
        return None
    for way in groupings(Reader(board.pieces), first, behind, keep=12):
        values = [number.value for number in way.numbers]
        halves = {Decimal(str(v)) for v in table("plates")["dual_small"]}
        if len(values) == 2 and values[0] in halves and values[1] in RATINGS and not way.left_over:
            return way
    return None


def _names_size(board: Board, first: int, behind: int, *, marked: bool) -> bool:
    """'a forty five five capacitor', 'the cap is a forty five plus five': what it is, not what it reads."""
    owner = board.owner[behind] if behind < len(board.pieces) else None
    capacitor = owner is not None and owner.label == "component" and "capacitor" in owner.value
    return (marked and board.word(first - 1) == "a") or capacitor


def usual_halves(large: Decimal, small: Decimal) -> bool:
    """Return whether two capacitances are the usual halves of a dual capacitor."""
    plates = table("plates")
    return large in {Decimal(str(v)) for v in plates["dual_large"]} and small in {
        Decimal(str(v)) for v in plates["dual_small"]
    }


def _rivals(reader: Reader, number: Number, ways: Sequence[Grouping]) -> Iterator[tuple[Decimal, str]]:
    """Other values of the same words: other groupings, then words that sound alike."""
    seen = {number.value}
    others = [n for n in reader.numbers_at(number.first) if n.last == number.last and n.cost - number.cost < FAR]
    if number.form in ("pair", "digits", "point left out"):
        for way in ways[1:]:
            if not way.left_over and way.cost - ways[0].cost < PARTED:
                inside = [n for n in way.numbers if n.first <= number.last and n.last >= number.first]
                others += [n for n in inside if abs(n.value) < 10_000][:MOST_PARTS]
    for other in others:
        if other.value not in seen:
            seen.add(other.value)
            yield other.value, "the same words grouped another way"
    for value, heard, meant in confusable_values(reader, number):
        if value not in seen:
            seen.add(value)
            yield value, f"'{heard}' and '{meant}' sound alike"


def _doubts(board: Board, number: Number, best: Grouping, ways: Sequence[Grouping]) -> Iterator[tuple[str, str]]:
    rival = next((way for way in ways[1:] if not way.left_over and len(way.numbers) != len(best.numbers)), None)
    if number.form == "point left out":
        yield "grouping", "No decimal point was said; it was put in."
    elif number.form == "digits" and number.last - number.first == 1 and number.value < 100:
        yield "grouping", "Two digits were said one by one; a decimal point may belong between them."
    elif best.left_over and number.form != "decimal":
        yield "grouping", "Some of the number words fit into no number."
    elif rival is not None and rival.cost - best.cost < NEAR:
        yield "grouping", "The number words can be parted another way."
    around = range(max(0, number.first - 1), min(len(board.pieces), number.last + 2))
    if any(board.pieces[place].text in (UNKNOWN, "<unk>") for place in around):
        yield "word not understood", "A word inside or beside the number was not understood."
    if board.word(number.last + 1) in words().points and board.owner[number.last + 1] is None:
        yield "number broken off", "A decimal point was said and nothing was heard behind it."
