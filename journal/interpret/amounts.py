"""Numbers with their units, as bounds, ranges and lists: candidate amounts that are not yet readings.

The unit that follows a number decides how its words are grouped; where none follows, the last unit of a list, a word for
the kind or the place named before gives the hint.  Whether the hint also becomes the reading's unit is decided later.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache
from typing import Any

from journal.interpret.board import Board, Hit
from journal.interpret.document import UNKNOWN
from journal.interpret.numbers import (
    SEPARATORS,
    Grouping,
    Number,
    Reader,
    confusable_values,
    groupings,
    is_number_word,
    runs,
    words,
)  # fmt: skip
from journal.interpret.vocabulary import table

NEAR = 1.0  # cost between two groupings below which both are plausible


@dataclass(frozen=True, slots=True)
class Amount:
    """One quantity as said: ``value``, or ``low``/``high``; its unit where one was said.

    ``unit`` is a code, or 'shared N' for a form whose unit the place decides; ``rivals`` are other values of the same words
    with the reason; ``doubts`` are (code, why) found while reading the number.
    """

    first: int
    last: int  # with its unit
    number_first: int
    number_last: int
    value: Decimal | None = None
    low: Decimal | None = None
    high: Decimal | None = None
    unit: str | None = None
    unit_form: str = ""
    hint: str | None = None
    hedged: bool = False
    below: bool = False
    rivals: tuple[tuple[Decimal, str], ...] = ()
    doubts: tuple[tuple[str, str], ...] = ()
    run: int = 0  # amounts of one run of words are a list
    form: str = ""
    difference: bool = False  # 'four over set'

    @property
    def key(self) -> Decimal:
        """The number that places this amount: value, or the end that was said."""
        for number in (self.value, self.high, self.low):
            if number is not None:
                return number
        raise ValueError("an amount without a number")


def unit_body(code: str | None) -> dict[str, Any]:
    """Return what ``units.toml`` says about a unit; nothing for none."""
    data: dict[str, Any] = table("units")
    body: dict[str, Any] = data.get(code, {}) if code and not code.startswith("shared") else {}
    return body


def shared_unit(code: str) -> dict[str, Any]:
    """Return the [[shared]] entry behind 'shared N'."""
    entry: dict[str, Any] = table("units")["shared"][int(code.split()[1])]
    return entry


@cache
def _typed() -> dict[str, str]:
    return {sign: code for code, body in table("units").items() if code != "shared" for sign in body.get("typed", ())}


def unit_at(board: Board, at: int, *, close: bool = True) -> tuple[str, int] | None:
    """Return (unit, last token) of the unit that starts at a token; ``close`` allows weak forms too."""
    if at >= len(board.pieces) or board.owner[at] is not None:
        return None
    piece = board.pieces[at]
    hit = board.starts("units", at)
    typed = _typed().get(piece.raw) if board.utterance.heard_by != "vosk" or piece.glued else None
    if hit and board.free(hit.first, hit.last) and (hit.last > at or typed is None):
        return hit.name, hit.last
    if typed:
        return typed, at
    weak = board.starts("weak units", at) if close else None
    return (weak.name, weak.last) if weak else None


def claim_amounts(board: Board) -> list[Amount]:
    """Claim every number that nothing else took, with its unit; return the amounts in the order of the sentence."""
    free = [owner is None for owner in board.owner]
    for hit in tails(board):
        free[hit.first : hit.last + 1] = [False] * (hit.last - hit.first + 1)
    found: list[Amount] = []
    for index, (first, behind) in enumerate(runs(board.pieces, free)):
        found += _amounts_of_run(board, first, behind, index)
    found = _joined(board, found)
    for amount in found:
        if not board.free(amount.first, amount.last):
            continue
        board.claim(
            "amount",
            amount.first,
            amount.last,
            amount,
            f"number ({amount.form}) and unit" if amount.unit else f"number ({amount.form})",
        )
    return found


def tails(board: Board) -> list[Hit]:
    """Return the phrases that belong to a number before them: 'below zero', 'over ambient', 'under set'."""
    hits = [
        hit for context in ("below", "against_plus", "against_minus") for hit in board.hits.get(f"hedges {context}", ())
    ]
    degrees = set(shared_unit(_degrees())["forms"])
    return [
        hit for hit in hits
        if hit.first and hit.last > hit.first and (is_number_word(board.pieces[hit.first - 1]) or board.word(hit.first - 1) in degrees)
    ]  # fmt: skip


def _unit_behind(board: Board, behind: int) -> tuple[str, int] | None:
    """The unit behind a number, over 'of a', 'an', 'ish'."""
    place = behind
    while (
        place < len(board.pieces)
        and place - behind < 2
        and board.word(place) in ("of", "a", "an", "ish", "or", "so", "full")
    ):
        unit = unit_at(board, place, close=False)
        if unit:
            return unit
        place += 1
    return unit_at(board, place, close=place == behind)


def _hint(board: Board, first: int, behind: int) -> str | None:
    """The unit a run will probably have: said behind it, at the end of its list, by a kind word or a place before it."""
    unit = _unit_behind(board, behind)
    if unit:
        return unit[0]
    listed = _unit_of_list_end(board, behind)
    if listed:
        return listed
    best: tuple[int, str] | None = None
    for hit in board.hits.get("kinds", ()):
        if hit.last < first and (best is None or hit.last > best[0]):
            best = (hit.last, table("kinds")[hit.name]["unit"])
    for claim in board.labelled("component"):
        unsaid = table("components")[claim.value].get("unsaid", ())
        if claim.last < first and len(unsaid) == 1 and (best is None or claim.last > best[0]):
            best = (claim.last, unsaid[0]["unit"])
        if claim.last < first and len(unsaid) > 1 and (best is None or claim.last > best[0]):
            best = (claim.last, unsaid[0]["unit"])
    if best:
        return best[1]
    for claim in board.labelled("points"):
        families = {family for half in claim.value.halves for family, _ in half}
        if families and families <= {"winding", "any", "control", "capacitor"} and "winding" in families:
            return "ohm"
    return board.hints.unit if board.hints else None


def _unit_of_list_end(board: Board, behind: int) -> str | None:
    """'seven eight seven nine and eight two amps': the unit at the end holds for the list."""
    place = behind
    while place < len(board.pieces):
        word = board.word(place)
        if (is_number_word(board.pieces[place]) and board.owner[place] is None) or (
            word in table("hedges")["listed"]
            or word in table("hedges")["range"]
            or word == "all"
            or ((claim := board.owner[place]) is not None and claim.label == "points")
        ):
            place += 1
        else:
            unit = unit_at(board, place, close=False)
            return unit[0] if unit and place > behind else None
    return None


def _reader(board: Board, unit: str | None) -> Reader:
    body = unit_body(unit)
    limit = body.get("up_to")
    return Reader(board.pieces, bool(body.get("tenths")) or _tenths_of_shared(unit), Decimal(limit) if limit else None)


def _tenths_of_shared(unit: str | None) -> bool:
    return bool(unit and unit.startswith("shared") and unit_body(shared_unit(unit)["unit"]).get("tenths"))


def _amounts_of_run(board: Board, first: int, behind: int, index: int) -> list[Amount]:
    hint = _hint(board, first, behind)
    reader = _reader(board, hint)
    ways = groupings(reader, first, behind)
    if not ways:
        return []
    unit = _unit_behind(board, behind)
    capacitor = _capacitor_marking(board, reader, ways, first, behind)
    best = capacitor or ways[0]
    amounts: list[Amount] = []
    for place, number in enumerate(best.numbers):
        last_of_run = place == len(best.numbers) - 1
        said = unit if last_of_run else None
        amount = Amount(
            first=number.first,
            last=said[1] if said else number.last,
            number_first=number.first,
            number_last=number.last,
            value=number.value,
            unit=said[0] if said else None,
            unit_form=board.text(number.last + 1, said[1]) if said else "",
            hint=hint,
            rivals=tuple(_rivals(reader, number, best, ways, place)),
            doubts=tuple(_doubts(board, number, best, ways)) if not capacitor else (),
            run=index,
            form=number.form,
        )
        amounts.append(amount)
    return amounts


def _capacitor_marking(
    board: Board, reader: Reader, ways: Sequence[Grouping], first: int, behind: int
) -> Grouping | None:
    """'thirty five five three seventy' on a dual capacitor: two capacitances and a rating."""
    named = any(
        claim.value in ("dual capacitor", "capacitor", "run capacitor") and claim.last < behind + 4
        for claim in board.labelled("component")
    )
    carried = board.hints is not None and board.hints.component in ("dual capacitor", "capacitor", "run capacitor")
    if not named and not carried:
        return None
    for way in groupings(replace(reader, tenths=False, up_to=None), first, behind, keep=12):
        values = [number.value for number in way.numbers]
        if way.left_over or any(number.form == "point left out" for number in way.numbers):
            continue
        if len(values) == 3 and values[2] in RATINGS and values[1] < values[0] <= 100:
            return way
        if len(values) == 2 and values[1] in RATINGS and values[0] <= 200:
            return way
        dual = "dual capacitor" in {claim.value for claim in board.labelled("component")} or (
            board.hints is not None and board.hints.component == "dual capacitor"
        )
        if dual and len(values) == 2 and values[1] <= 15 and values[1] < values[0] <= 100:
            return way
    return None


RATINGS = frozenset(Decimal(volts) for volts in table("plates")["capacitor_volts"])


def _rivals(
    reader: Reader, number: Number, best: Grouping, ways: Sequence[Grouping], place: int
) -> Iterator[tuple[Decimal, str]]:
    """Other values of the same words: other groupings, then words that sound alike."""
    seen = {number.value}
    for way in ways:
        for other in way.numbers:
            inside = number.first <= other.first and other.last <= number.last
            covers = other.first <= number.first and other.last >= number.last
            if (inside or covers) and other.value not in seen and not way.left_over:
                seen.add(other.value)
                yield other.value, "the same words grouped another way"
    for other in reader.numbers_at(number.first):
        if other.last == number.last and other.value not in seen:
            seen.add(other.value)
            yield other.value, "the same words grouped another way"
    for value, heard, meant in confusable_values(reader, number):
        if value not in seen:
            seen.add(value)
            yield value, f"'{heard}' and '{meant}' sound alike"


def _doubts(board: Board, number: Number, best: Grouping, ways: Sequence[Grouping]) -> Iterator[tuple[str, str]]:
    if number.form == "point left out":
        yield "grouping", "No decimal point was said; it was put in."
    elif number.form == "digits" and number.last - number.first == 1 and number.value < 100:
        yield "grouping", "Two digits were said one by one; a decimal point may belong between them."
    elif (
        len(ways) > 1
        and len(ways[1].numbers) != len(best.numbers)
        and ways[1].cost - best.cost < NEAR / 2
        and not ways[1].left_over
    ):
        yield "grouping", "The number words can be parted another way."
    around = range(max(0, number.first - 1), min(len(board.pieces), number.last + 2))
    if any(board.pieces[place].text in (UNKNOWN, "<unk>") for place in around):
        yield "word not understood", "A word inside or beside the number was not understood."
    behind = board.word(number.last + 1)
    if behind in words().points and board.owner[number.last + 1] is None:
        yield "number broken off", "A decimal point was said and nothing was heard behind it."


def _joined(board: Board, found: list[Amount]) -> list[Amount]:
    """Put pounds to their ounces, make ranges and bounds, add hedges and signs."""
    found = _pounds_and_ounces(board, found)
    found = _ranges(board, found)
    return [_with_words_around(board, amount) for amount in found]


def _pounds_and_ounces(board: Board, found: list[Amount]) -> list[Amount]:
    joined: list[Amount] = []
    for amount in found:
        before = joined[-1] if joined else None
        if (
            before is not None
            and before.value is not None
            and amount.value is not None
            and amount.unit == "ounce"
            and amount.value < 16
            and before.unit_form in ("pound", "pounds", "lb", "lbs", "#")
            and all(board.word(place) in ("and", ",") for place in range(before.last + 1, amount.first))
        ):
            value = before.value + amount.value / 16
            joined[-1] = replace(
                before,
                last=amount.last,
                number_last=amount.number_last,
                value=value,
                unit="pound",
                form="pounds and ounces",
                rivals=(),
            )
        else:
            joined.append(amount)
    return joined


def _ranges(board: Board, found: list[Amount]) -> list[Amount]:
    joined: list[Amount] = []
    hedges = table("hedges")
    for amount in found:
        before = joined[-1] if joined else None
        if (
            before is None
            or before.value is None
            or amount.value is None
            or before.form == "range"
            or not _may_span(before, amount)
        ):
            joined.append(amount)
            continue
        between = board.text(before.last + 1, amount.first - 1) if amount.first > before.last + 1 else ""
        opened = board.ends("hedges between", before.first - 1)
        spans = between in hedges["range"] or (between == "or" and board.word(before.first - 1) != "either")
        spans = spans or (between == "and" and opened is not None and opened.name != "from")
        moves = opened is not None and board.text(opened.first, opened.last) == "from" and _moves(board, opened.first)
        if between == "/" or not spans or moves or before.value >= amount.value:
            joined.append(amount)
            continue
        if between == "or" and amount.value > before.value * 2:
            joined.append(amount)
            continue
        first = opened.first if opened else before.first
        joined[-1] = replace(
            amount, first=first, number_first=before.number_first, value=None, low=before.value, high=amount.value,
            form="range", rivals=(), doubts=tuple(dict.fromkeys(before.doubts + amount.doubts)), run=before.run,
        )  # fmt: skip
    return joined


def _may_span(before: Amount, amount: Amount) -> bool:
    return before.unit is None or before.unit == amount.unit


def _moves(board: Board, at: int) -> bool:
    """'dropped from two fifty to two thirty eight': two readings, no range."""
    return any(board.word(place) in table("hedges")["moves"] for place in range(max(0, at - 3), at))


def _with_words_around(board: Board, amount: Amount) -> Amount:
    """Add the hedge, bound or sign that stands before or behind an amount, and take its words along."""
    changes: dict[str, Any] = {}
    first, last = amount.first, amount.last
    lead = first - 1
    while (
        lead >= 0
        and board.owner[lead] is None
        and board.word(lead) in ("a", "at", "the", "like", "it", "of")
        and first - lead < 3
    ):
        lead -= 1
    bound = _ending(board, lead, ("hedges hedges", "hedges at_most", "hedges at_least"))
    if bound is None and lead != first - 1:
        bound = _ending(board, first - 1, ("hedges hedges", "hedges at_most", "hedges at_least"))
    if bound is not None and board.free(bound.first, bound.last):
        kind = bound.context.split()[1]
        if kind == "hedges":
            changes["hedged"] = True
            outer = _ending(board, bound.first - 1, ("hedges at_most", "hedges at_least"))
            if outer is not None and board.free(outer.first, outer.last):
                bound, kind = outer, outer.context.split()[1]
        if kind in ("at_most", "at_least") and amount.value is not None and not _gauge_pair(board, bound):
            changes["value"] = None
            changes["high" if kind == "at_most" else "low"] = amount.value
            changes["form"] = "bound"
        if kind == "hedges" or "form" in changes:
            first = bound.first
    last, behind = _words_behind(board, replace(amount, first=first), last)
    changes |= {
        key: value for key, value in behind.items() if not (key in ("low", "high") and changes.get("form") == "bound")
    }
    if "value" in behind and changes.get("form") == "bound" and behind["value"] is not None:
        return replace(amount, first=first, last=last, **(changes | {"value": None}))
    return replace(amount, first=first, last=last, **changes)


def _ending(board: Board, at: int, contexts: Sequence[str]) -> Hit | None:
    hits = [hit for context in contexts if (hit := board.ends(context, at)) is not None]
    return min(hits, key=lambda hit: hit.first, default=None)


def _gauge_pair(board: Board, bound: Hit) -> bool:
    """'sixty six over two seventy one': the word between two numbers is no bound."""
    before = board.pieces[bound.first - 1] if bound.first else None
    return (
        bound.last == bound.first
        and board.word(bound.first) == "over"
        and before is not None
        and is_number_word(before)
    )


def _words_behind(board: Board, amount: Amount, last: int) -> tuple[int, dict[str, Any]]:
    """Read what stands behind: 'or so', 'or better', 'below zero', 'over set', a band such as 'high thirties'."""
    changes: dict[str, Any] = {}
    against = _starting(board, last + 1, ("hedges against_plus", "hedges against_minus"))
    if against is not None and amount.value is not None:
        sign = 1 if against.name == "against_plus" else -1
        return against.last, {"value": sign * amount.value, "difference": True}
    below = board.starts("hedges below", last + 1)
    if (
        below
        and amount.value is not None
        and board.free(below.first, below.last)
        and amount.unit in (None, "degF", "degC", _degrees())
    ):
        following = board.pieces[below.last + 1] if below.last + 1 < len(board.pieces) else None
        if below.last > below.first or following is None or not is_number_word(following):
            return below.last, {"value": -amount.value, "below": True}
    for context in ("hedges after", "hedges at_most_after", "hedges at_least_after"):
        hit = board.starts(context, last + 1)
        if hit is None or not board.free(hit.first, hit.last):
            continue
        following = board.pieces[hit.last + 1] if hit.last + 1 < len(board.pieces) else None
        if context == "hedges after":
            if following is not None and is_number_word(following):
                continue  # 'eight about ten'
            changes["hedged"] = True
        elif amount.value is not None:
            changes |= {"value": None, "high" if "at_most" in context else "low": amount.value, "form": "bound"}
        else:
            continue
        return hit.last, changes
    return last, changes


def _starting(board: Board, at: int, contexts: Sequence[str]) -> Hit | None:
    hits = [hit for context in contexts if (hit := board.starts(context, at)) is not None]
    return max(hits, key=lambda hit: hit.last, default=None)


@cache
def _degrees() -> str:
    return next(
        f"shared {place}" for place, entry in enumerate(table("units")["shared"]) if "degrees" in entry["forms"]
    )


def claim_bands(board: Board) -> list[Amount]:
    """'high thirties' 37 to 39, 'mid seventies' 74 to 76, hedged."""
    numbers = table("numbers")
    found: list[Amount] = []
    for at, piece in enumerate(board.pieces):
        decade = numbers["decades"].get(piece.text)
        if decade is None or board.owner[at] is not None:
            continue
        band = numbers["bands"].get(board.word(at - 1)) if at else None
        low, high = band or (0, 9)
        first = at - 1 if band else at
        before = board.word(first - 1) if first else ""
        head = {**words().digits}.get(before) if first and board.owner[first - 1] is None else None
        hundreds = 100 * head if head else 0
        first = first - 1 if head else first
        minus = -1 if first and board.word(first - 1) in words().minus else 1
        ends = sorted((minus * (hundreds + decade + low), minus * (hundreds + decade + high)))
        unit = unit_at(board, at + 1, close=False)
        last = unit[1] if unit else at
        amount = Amount(
            first,
            last,
            first,
            at,
            low=Decimal(ends[0]),
            high=Decimal(ends[1]),
            unit=unit[0] if unit else None,
            hedged=True,
            form="decade",
            run=-1 - at,
        )
        board.claim("amount", first, last, amount, "part of a decade")
        found.append(amount)
    return found


def separators(board: Board, first: int, last: int) -> bool:
    """Return whether only list words stand between two tokens."""
    return all(
        board.word(place) in SEPARATORS or board.word(place) in table("hedges")["listed"]
        for place in range(first, last + 1)
    )
