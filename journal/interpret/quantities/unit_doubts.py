"""Units that a place may have, the second one kept as a doubted alternative."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from journal.domain.kind import Kind
from journal.domain.reading import Alternative, Doubt
from journal.interpret.quantities.surroundings import Quantity, Surroundings, kind_for
from journal.interpret.vocabulary import table

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
