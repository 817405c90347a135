"""The unit a run of numbers will probably have, which decides how its words are grouped.

Said behind it, at the end of its list, by a kind word, by the place named before, by the reading before.  Whether
a hint
also becomes the reading's unit is decided later (``unsaid``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from journal.domain.kind import Kind
from journal.domain.unit_table import can_measure, unit_table
from journal.interpret.board import Board, Claim
from journal.interpret.numbers.amounts import shared_unit, unit_at, unit_body
from journal.interpret.numbers.numbers import Reader
from journal.interpret.numbers.runs import Grouping, groupings, is_number_word
from journal.interpret.standing.settings import moved_to
from journal.interpret.vocabulary import small_words, table


@dataclass(frozen=True, slots=True)
class Hint:
    """A unit the numbers of a run may have, with the bounds in which the place has it."""

    unit: str | None
    above: Decimal | None = None
    below: Decimal | None = None
    tenths: bool = False  # two numbers run together are one with its tenths, whatever the unit says

    def fits(self, way: Grouping) -> bool:
        for number in way.numbers:
            if (self.above is not None and number.value < self.above) or (
                self.below is not None and number.value >= self.below
            ):
                return False
        return True


def unit_behind(board: Board, behind: int) -> tuple[str, int] | None:
    """Return the unit behind a number and its last token, over 'of a', 'an', 'ish', 'or so'."""
    place = behind
    between = table("hedges")["before_units"]
    parts = table("numbers")["fractions"]
    while place < len(board.pieces) and place - behind < 2 and board.word(place) in between:
        if board.word(place) in table("numbers")["articles"] and board.word(behind - 1) not in parts:
            break  # 'half an hour', but not 'held at four hundred an hour'
        unit = unit_at(board, place, close=False)
        if unit:
            return unit
        place += 1
    return unit_at(board, place, close=place == behind)


def probable_units(board: Board, first: int, behind: int) -> list[Hint]:
    """The units a run may have, said behind it, at the end of its list, by a kind word or a place before it."""
    unit = unit_behind(board, behind)
    if unit and not is_header(board, first, unit):
        return [Hint(unit[0])]
    if mains_there(board, first, behind) or _rated_at(board, first, behind):
        return [Hint("volt")]
    listed = _unit_of_list_end(board, behind)
    if listed and not unit:
        return [Hint(listed)]
    moved = _unit_moved_from(board, first)
    if moved:
        return [Hint(moved)]
    if _it_moved(board, first):
        return [Hint(unit) for unit in _units_told(board, first)]
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
    at_terminal = [c for c in board.labelled("points") if best[0] < c.last < first and _of_capacitor(c)]
    if at_terminal:
        return [Hint("microfarad", tenths=True)]
    if best[1]:
        return _in_turn(best[1])
    for claim in board.labelled("points"):
        families = {family for half in claim.value.halves for family, _ in half}
        if "winding" in families and families <= {"winding", "any", "control", "capacitor"}:
            return [Hint("ohm")]
    if _of_gauge_pair(board, first, behind):
        return [Hint("psi")]
    carried = board.hints.unit if board.hints else None
    return [Hint(carried)] if carried else []


def mains_there(board: Board, first: int, behind: int) -> bool:
    """'there's two forty sitting right on its leads': a mains voltage that is there, wherever that is."""
    led = board.word(first - 1) in small_words("there_is") and board.word(behind) in small_words("on_leads")
    return led and _is_nominal(board, first, behind)


def _rated_at(board: Board, first: int, behind: int) -> bool:
    """'four hundred watts at two oh eight': what a power is rated at is a voltage, whatever part it is of."""
    watts = [u for u in board.hits.get("units", ()) if u.last == first - 2 and u.name in ("watt", "kilowatt")]
    return bool(watts) and board.word(first - 1) == "at" and _is_nominal(board, first, behind)


def _is_nominal(board: Board, first: int, behind: int) -> bool:
    ways = groupings(Reader(board.pieces), first, behind)
    nominal = table("unsaid")["nominal_volts"]
    return bool(ways) and len(ways[0].numbers) == 1 and ways[0].numbers[0].value in nominal


def _unit_moved_from(board: Board, first: int) -> str | None:
    """'it was at eleven hundred c f m i moved it down to eight fifty': the unit said for where it was moved from."""
    verb = moved_to(board, first)
    if verb is None:
        return None
    before = [u for u in board.hits.get("units", ()) if u.first > 0 and u.last < verb]
    said = [u for u in before if is_number_word(board.pieces[u.first - 1])]
    return max(said, key=lambda u: u.last).name if said else None


def _it_moved(board: Board, first: int) -> bool:
    """'it came up to', 'it dropped to' right before a number: it is of a value told before, whatever part was named."""
    at = first - 1
    while board.word(at) in table("roles")["setting"]["ways"] or board.word(at) == "to":
        at -= 1
    return at < first - 1 and board.word(at) in small_words("moves_it") and board.word(at - 1) == "it"


def _units_told(board: Board, first: int) -> list[str | None]:
    """The unit last said in this utterance; the units of the utterance before when none was."""
    said = [hit for hit in board.hits.get("units", ()) if hit.first > 0 and hit.last < first]
    said = [hit for hit in said if is_number_word(board.pieces[hit.first - 1]) and hit.name in unit_table()]
    if said:
        return [max(said, key=lambda hit: hit.last).name]
    return list(board.hints.told) if board.hints is not None and board.hints.told else [None]


def _of_gauge_pair(board: Board, first: int, behind: int) -> bool:
    """'two twenty eight over forty six': one number over another, whatever was read before."""
    over = table("hedges")["over"]
    after = behind + 1 < len(board.pieces) and is_number_word(board.pieces[behind + 1])
    ahead = first >= 2 and is_number_word(board.pieces[first - 2])
    return (board.word(behind) in over and after) or (board.word(first - 1) in over and ahead)


def _of_capacitor(claim: Claim) -> bool:
    """'herm's thirty four four': a terminal of a capacitor has one number."""
    return bool(claim.value.halves) and all(f == "capacitor" for half in claim.value.halves for f, _ in half)


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


def is_header(board: Board, first: int, unit: tuple[str, int]) -> bool:
    """'volts 205 209 207 amps 13 13': a unit before its numbers; 'amps' heads the numbers behind it."""
    following = board.pieces[unit[1] + 1] if unit[1] + 1 < len(board.pieces) else None
    heads = following is not None and is_number_word(following)
    if heads and board.starts("kinds", unit[1]) is not None and _of_another_kind(board, first, unit[0]):
        return True
    before = board.ends("units", first - 1)
    if before is None or not board.free(before.first, before.last):
        return False
    if before.first and is_number_word(board.pieces[before.first - 1]):
        return False  # 'a half horse eleven forty r p m five point eight amps': it has its own number
    own = before.name
    return heads and own != unit[0] and not own.startswith("shared")


def _of_another_kind(board: Board, first: int, unit: str) -> bool:
    """'subcooling eleven amps nine point two', 'box thirty five amps fourteen point two': the number has a name of its
    own right before it, and amperes are nothing of that."""
    kind = board.ends("kinds", first - 1)
    if kind is not None:
        return unit in unit_table() and not can_measure(unit, Kind(kind.name))
    part = board.owner[first - 1] if first else None
    if part is None or part.label != "component":
        return False
    body = table("components")[part.value]
    own = [entry["unit"] for entry in body.get("unsaid", ())]
    return bool(own) and not body.get("electrical") and unit in unit_table() and unit not in own


def reader_for(board: Board, unit: str | None, tenths: bool = False) -> Reader:
    """Return a reader of the board's numbers in the light of a unit."""
    body = unit_body(shared_unit(unit)["unit"] if unit and unit.startswith("shared") else unit)
    limit = body.get("up_to")
    return Reader(board.pieces, tenths or bool(body.get("tenths")), Decimal(limit) if limit else None)
