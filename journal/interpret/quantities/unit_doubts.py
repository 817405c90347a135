"""Units that a place may have, the second one kept as a doubted alternative."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from journal.domain.kind import Kind
from journal.domain.reading import Alternative, Doubt
from journal.interpret.board import Board
from journal.interpret.numbers.amounts import Amount
from journal.interpret.quantities.surroundings import Quantity, Surroundings, kind_for
from journal.interpret.vocabulary import table

FAR_FROM_MATE = "far from the pressure it would have"  # where the degrees of a liquid are from
LOOKED_BACK = 4  # readings in which the pressure of the mate is looked for
NEARLY = Decimal("1.5")  # factor within which a pressure may miss that of its mate
GAUGES = ("suction", "discharge")
CLOSE = Decimal(3)  # a number within this factor of its neighbour has its unit without a doubt


def with_second(entry: dict[str, Any], around: Surroundings) -> Quantity:
    kind = Kind(entry["kind"]) if "kind" in entry else kind_for(entry["unit"], None)
    found = Quantity(entry["unit"], kind, {"unit": f"{around.component}"})
    for other in entry.get("also", ()):
        if around.context.gauges_at is not None or "pressure" in around.words or _paired(around):
            break
        found.doubts.append(Doubt("kind unsure", f"'{around.component}' may be a pressure or a temperature here."))
        found.alternatives.append(
            Alternative(kind=kind_for(other, None), unit=other, why="pressure or temperature was not said")
        )
    return found


def far_from_mate(entry: dict[str, Any], amount: Amount, around: Surroundings) -> Quantity | None:
    """'head two seventy five, liquid ninety nine': the liquid has nearly the pressure of the head, so these are
    degrees."""
    mate = table("components")[around.component].get("pressed_by") if around.component else None
    if mate is None or not entry.get("also") or around.kind is not None or "pressure" in around.words:
        return None
    told = [draft.reading for draft in around.context.drafts[-LOOKED_BACK:] if not draft.reading.withdrawn]
    sizes = [r.value for r in told if r.component == mate and r.kind is Kind.PRESSURE and r.value is not None]
    sizes = sizes or _said_behind(around.board, mate, amount)
    if not sizes or amount.key * NEARLY > sizes[-1]:
        return None
    other = entry["also"][0]
    return Quantity(other, kind_for(other, None), {"unit": FAR_FROM_MATE})


def _said_behind(board: Board, mate: str, amount: Amount) -> list[Decimal]:
    """'liquid's ninety five head's two fifty': the number right behind the mate's name."""
    names = [c.last for c in board.labelled("component") if c.value == mate and c.first > amount.last]
    follow = [c.value.key for c in board.labelled("amount") if names and 0 < c.first - names[0] <= 2]
    return follow[:1]


def wanted_here(found: Quantity, amount: Amount, around: Surroundings) -> Quantity:
    """'outdoor's eighty eight so target's eleven': nobody wants what is so far from what was just read there."""
    last = around.context.last()
    size = last.reading.value if last is not None and last.reading.unit == found.unit else None
    if around.expected and size and amount.key and abs(size) > abs(amount.key) * CLOSE:
        found.doubts.append(
            Doubt("kind unsure", "It is far from what was just read here; another quantity may be meant.")
        )
    return found


def _paired(around: Surroundings) -> bool:
    """Suction and head in one breath, a gauge reading just before, or a refrigerant beside them, are the gauges."""
    named = {claim.value for claim in around.board.labelled("component")}
    last = around.context.last()
    gauged = last is not None and last.reading.component in GAUGES and last.reading.kind is Kind.PRESSURE
    gauged = gauged and last is not None and not last.reading.doubts
    return (
        set(GAUGES) <= named
        or gauged
        or any(True for _ in around.board.labelled("refrigerant"))
        or bool(around.words & set(table("clauses")["gauge_words"]))
    )
