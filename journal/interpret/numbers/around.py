"""Words around amounts: ranges, bounds, hedges, signs, pounds with their ounces, parts of a decade."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any

from journal.domain.kind import Kind
from journal.interpret.board import Board, Hit
from journal.interpret.numbers.amounts import Amount, degrees, unit_at
from journal.interpret.numbers.number_words import words
from journal.interpret.numbers.runs import is_number_word
from journal.interpret.numbers.signed_ranges import moves, signed_range
from journal.interpret.vocabulary import small_words, table

SAME_KIND = 0.7  # share of a kind that makes a number go on the one before


def joined(board: Board, found: list[Amount]) -> list[Amount]:
    """Put pounds to their ounces, make ranges and bounds, add hedges and signs."""
    found = _compounds(board, found)
    found = _ranges(board, found)
    return [_with_words_around(board, amount) for amount in found]


#: (large unit, small unit, how many small ones make a large one, unit of the sum)
COMPOUNDS = (("pound", "ounce", 16, "pound"), ("minute", "second", 60, "second"), ("hour", "minute", 60, "minute"))


def _compounds(board: Board, found: list[Amount]) -> list[Amount]:
    """'one pound nine ounces' is 1.5625 pounds, 'two minutes forty seconds' 160 seconds."""
    joined_: list[Amount] = []
    for amount in found:
        before = joined_[-1] if joined_ else None
        sum_ = None
        if before is not None:
            sum_ = (
                _sum(board, before, amount) or _half_more(board, before, amount) or _seconds_more(board, before, amount)
            )
        if before is not None and sum_ is not None:
            value, unit = sum_
            joined_[-1] = replace(
                before,
                last=amount.last,
                number_last=amount.number_last,
                value=value,
                unit=unit,
                unit_form=amount.unit_form or before.unit_form,
                form="compound",
                rivals=(),
            )
        else:
            joined_.append(amount)
    return joined_


def _sum(board: Board, large: Amount, small: Amount) -> tuple[Decimal, str] | None:
    if large.value is None or small.value is None or large.value != int(large.value):
        return None
    if not all(board.word(place) in small_words("compound_joins") for place in range(large.last + 1, small.first)):
        return None
    pounds = large.unit_form in small_words("pounds_written")
    ounces = pounds and small.unit is None and small.first == large.last + 1 and small.value < 16
    if ounces and (_on_a_scale(board) or _of_a_charge(board, large, small) or _goes_on(board, Kind.MASS, small)):
        return large.value + small.value / 16, "pound"
    if small.unit in ("minute", "second") and small.value != 1 and small.unit_form == small.unit:
        return None  # 'every six hours thirty minute failsafe': how long the failsafe is
    for big, little, factor, unit in COMPOUNDS:
        if small.unit == little and small.value < factor and (large.unit == big or (big == "pound" and pounds)):
            value = large.value * factor + small.value if unit == little else large.value + small.value / factor
            return value, unit
    return None


def _goes_on(board: Board, kind: Kind, small: Amount) -> bool:
    """'the tag says three pounds nine', 'fourteen minutes thirty': the words around it make it one with the number
    before; nobody reads two of a kind with nothing between but the unit of the first."""
    whole = small.form == "words" and small.value is not None and small.value == int(small.value) > 0
    shares = board.tags.kinds(small.number_first, small.number_last) if whole else {}
    return shares.get(kind.value, 0.0) >= SAME_KIND


def _on_a_scale(board: Board) -> bool:
    """'now it's twenty six pounds twelve': a jug is spoken of, here or right before."""
    named = [claim.value for claim in board.labelled("component")]
    carried = board.hints.component if board.hints is not None else None
    return (named[-1] if named else carried) == "cylinder"


def _of_a_charge(board: Board, large: Amount, small: Amount) -> bool:
    """'weighed in two pounds nine', 'seven pounds four of four oh four a': refrigerant weighed, the ounces not said."""
    whole = small.form == "words" and small.value is not None and small.value == int(small.value)
    behind = board.word(small.last + 1)
    if not whole or (behind and behind not in small_words("after_times") | {"of"}):
        return False
    at = small.last + 2
    owner = board.owner[at] if behind == "of" and at < len(board.pieces) else None
    if owner is not None and owner.label == "refrigerant":
        return True
    if any(hit.name == "ounce" and hit.last < large.first for hit in board.hits.get("units", ())):
        return True  # 'eleven pounds nine ounces and the tag calls for fourteen pounds eight'
    before = [hit for hit in board.hits.get("work", ()) if hit.last < large.first]
    return weighed_right_before(board, large.first) or any(_weighs(hit) for hit in before)


def weighed_right_before(board: Board, at: int) -> bool:
    """'added', 'it took', 'recovered' right before a token, 'about' between them or not."""
    hedge = board.ends("hedges hedges", at - 1)
    at = hedge.first if hedge is not None else at
    hits = (board.ends(context, at - 1) for context in ("work", "work base", "work with_amount"))
    return any(hit is not None and _weighs(hit) for hit in hits)


def _weighs(hit: Hit) -> bool:
    return bool(table("work")[hit.name].get("amount") == "mass")


def _half_more(board: Board, large: Amount, part: Amount) -> tuple[Decimal, str] | None:
    """'five pounds and a half', 'eighteen minutes and three quarters': the part stands behind the unit."""
    whole = large.value is not None and large.value == int(large.value) and large.unit is not None
    if not whole or part.unit is not None or part.form != "fraction" or part.value is None or part.value >= 1:
        return None
    if board.text(large.last + 1, part.first - 1) != "and" or large.value is None or large.unit is None:
        return None
    return large.value + part.value, large.unit


def _seconds_more(board: Board, large: Amount, small: Amount) -> tuple[Decimal, str] | None:
    """'a minute forty five', 'two hours twenty': the smaller unit is left out where nothing else claims the number."""
    if large.unit not in ("minute", "hour") or large.form == "compound" or small.unit is not None:
        return None
    if small.first != large.last + 1 or small.value is None or large.value is None or large.value != int(large.value):
        return None
    if small.form not in ("words", "zero first") or not 0 < small.value < 60 or small.value != int(small.value):
        return None
    behind = board.word(small.last + 1)
    if behind and behind not in small_words("after_times") and not _goes_on(board, Kind.DURATION, small):
        return None
    unit = "second" if large.unit == "minute" else "minute"
    return large.value * 60 + small.value, unit


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
        signed = signed_range(board, before, amount)
        if signed is not None:
            joined[-1] = signed
            continue
        between = board.text(before.last + 1, amount.first - 1) if amount.first > before.last + 1 else ""
        opened = board.ends("hedges between", before.first - 1)
        spans = between in hedges["range"] or (between == "or" and board.word(before.first - 1) != "either")
        spans = spans or (between == "and" and opened is not None and opened.name != "from")
        moved = opened is not None and board.text(opened.first, opened.last) == "from" and moves(board, opened.first)
        if between == "/" or not spans or _arrow(board, before.last + 1) or moved or before.value >= amount.value:
            joined.append(amount)
            continue
        if between == "or" and amount.value > before.value * 2:
            joined.append(amount)
            continue
        first = opened.first if opened else before.first
        joined[-1] = replace(
            amount, first=first, unit=amount.unit or before.unit, unit_form=amount.unit_form or before.unit_form,
            number_first=before.number_first, value=None, low=before.value, high=amount.value,
            form="range", rivals=(), doubts=tuple(dict.fromkeys(before.doubts + amount.doubts)), run=before.run,
        )  # fmt: skip
    return joined


def _arrow(board: Board, at: int) -> bool:
    """'50 -> 55': changed from one to the other, no range."""
    return board.pieces[at].raw in table("mishearings")["arrows"]


def _may_span(before: Amount, amount: Amount) -> bool:
    """One unit for both, or a time at the first alone: 'two minutes to two and a half'."""
    timed = before.unit in ("second", "minute", "hour") and amount.unit is None
    return before.unit in (None, amount.unit) or timed


def _with_words_around(board: Board, amount: Amount) -> Amount:
    """Add the hedge, bound or sign that stands before or behind an amount, and take its words along."""
    changes: dict[str, Any] = {}
    if any(hit.last < amount.first <= hit.last + 8 for hit in board.hits.get("hedges unsure", ())):
        changes["hedged"] = True
    first, last = amount.first, amount.last
    lead = first - 1
    while (
        lead >= 0
        and board.owner[lead] is None
        and board.word(lead) in small_words("before_amounts")
        and first - lead < 3
    ):
        lead -= 1
    kind_said = board.ends("kinds", lead)
    if kind_said is not None and board.free(kind_said.first, kind_said.last):
        lead = kind_said.first - 1  # 'call it condensing at a hundred and two'
    else:
        kind_said = None
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
        if kind == "at_least" and board.word(bound.last + 1) == "at":
            bound, kind = None, ""  # 'it was way over at four point six' was there
        if kind in ("at_most", "at_least") and amount.value is not None and bound and not _gauge_pair(board, bound):
            changes["value"] = None
            changes["high" if kind == "at_most" else "low"] = amount.value
            changes["form"] = "bound"
        if bound is not None and (kind == "hedges" or "form" in changes) and kind_said is None:
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
    if below is not None and board.word(below.last + 1) in (*small_words("determiners"), *small_words("loads")):
        below = None  # 'thirteen below the box' is a difference, and no cold; 'two oh four under load' no negative
    if (
        below
        and amount.value is not None
        and board.free(below.first, below.last)
        and amount.unit in (None, "degF", "degC", degrees())
    ):
        following = board.pieces[below.last + 1] if below.last + 1 < len(board.pieces) else None
        if below.last > below.first or following is None or not is_number_word(following):
            return below.last, {"value": -amount.value, "below": True}
    above = board.starts("hedges above", last + 1)
    if above and amount.value is not None and amount.unit in (None, "degF", "degC", degrees()):
        following = board.pieces[above.last + 1] if above.last + 1 < len(board.pieces) else None
        if board.free(above.first, above.last) and (following is None or not is_number_word(following)):
            return above.last, changes
    for context in ("hedges after", "hedges at_most_after", "hedges at_least_after"):
        hit = board.starts(context, last + 1)
        if hit is None or not board.free(hit.first, hit.last) or _told_of_next(board, hit):
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


def _told_of_next(board: Board, hit: Hit) -> bool:
    """'it's at forty max was forty four', 'eighteen max fuse thirty': the word belongs to the number behind it."""
    named = board.starts("roles", hit.first)
    if named is not None and named.last > hit.last:
        return True
    at = hit.last + 2
    copula = board.word(hit.last + 1) in small_words("copulas")
    return copula and at < len(board.pieces) and is_number_word(board.pieces[at])


def _starting(board: Board, at: int, contexts: Sequence[str]) -> Hit | None:
    hits = [hit for context in contexts if (hit := board.starts(context, at)) is not None]
    return max(hits, key=lambda hit: hit.last, default=None)


def claim_bands(board: Board) -> list[Amount]:
    """'high thirties' 37 to 39, 'mid seventies' 74 to 76, hedged."""
    numbers = table("numbers")
    found: list[Amount] = []
    for at, piece in enumerate(board.pieces):
        decade = numbers["decades"].get(piece.text)
        if decade is None or board.owner[at] is not None:
            continue
        band = numbers["bands"].get(board.word(at - 1)) if at and board.owner[at - 1] is None else None
        low, high = band or (0, 9)
        first = at - 1 if band else at
        before = board.word(first - 1) if first else ""
        head = {**words().digits}.get(before) if first and board.owner[first - 1] is None else None
        hundreds = 100 * head if head else 0
        first = first - 1 if head else first
        minus = -1 if first and board.word(first - 1) in words().minus else 1
        ends = sorted((minus * (hundreds + decade + low), minus * (hundreds + decade + high)))
        unit = unit_at(board, at + 1, close=False)
        unit = unit if unit and board.free(at, unit[1]) else None
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
