"""The refrigerant log: every addition and recovery of a period, what its record holds and what it lacks."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from journal.domain.unit_table import ucum_of
from journal.present import wording
from journal.present.refrigerant import DEFERS, Movement
from journal.present.spreadsheet import BYTE_ORDER_MARK, cell
from journal.present.terminal_parts import QUIET, plain
from journal.present.wording import printable

COLUMNS = (
    "date", "visit", "site", "appliance", "refrigerant", "action", "amount", "unit", "ucum", "pounds", "by_scale",
    "full_charge", "service", "technician", "certificate", "leak_rate", "rule", "demanded", "missing", "store_digest",
)  # fmt: skip
_WORDS = {True: "yes", False: ""}


def log_rows(log: Sequence[Movement], head: str = "") -> list[dict[str, Any]]:
    """Return a row for each movement, the columns in order; ``pounds`` is the same amount for adding up."""
    return [
        {
            "date": one.record.get("date", ""),
            "visit": one.visit,
            "site": one.site,
            "appliance": one.record.get("appliance") or one.machine,
            "refrigerant": one.refrigerant,
            "action": one.action,
            "amount": one.amount,
            "unit": wording.symbol_of(one.unit),
            "ucum": ucum_of(one.unit),
            "pounds": None if one.pounds is None else _short(one.pounds),
            "by_scale": _WORDS[one.by_scale],
            "full_charge": one.record.get("full charge", ""),
            "service": one.record.get("service", ""),
            "technician": one.record.get("technician", ""),
            "certificate": one.record.get("certificate", ""),
            "leak_rate": one.record.get("leak rate", ""),
            "rule": one.rule,
            "demanded": "yes" if one.certain else "perhaps" if one.asked else "no",
            "missing": "; ".join(demand.asks for demand in one.missing),
            "store_digest": head,
        }
        for one in log
    ]


def log_csv(log: Sequence[Movement], head: str = "") -> str:
    """Return the log as CSV text that opens right in a spreadsheet."""
    stream = io.StringIO()
    stream.write(BYTE_ORDER_MARK)
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for row in log_rows(log, head):
        writer.writerow([cell(row[column]) for column in COLUMNS])
    return stream.getvalue()


def log_json(log: Sequence[Movement], since: str | None, until: str | None, head: str) -> dict[str, Any]:
    """Return the log as a document; amounts are ``Decimal``."""
    rows = [{key: value for key, value in row.items() if key != "store_digest"} for row in log_rows(log)]
    for row, one in zip(rows, log, strict=True):
        row["by_scale"] = one.by_scale
        row["missing"] = [{"what": d.name, "asks": d.asks, "source": d.source} for d in one.missing]
    totals = [
        {"refrigerant": name, "action": action, "pounds": pounds, "without_amount": unknown}
        for (name, action), (pounds, unknown) in totals_of(log).items()
    ]
    return {"since": since, "until": until, "head": head, "note": DEFERS, "movements": rows, "totals": totals}


def totals_of(log: Sequence[Movement]) -> dict[tuple[str, str], tuple[Decimal, int]]:
    """Return pounds by refrigerant and action, and how many movements had no amount that could be added."""
    totals: dict[tuple[str, str], tuple[Decimal, int]] = {}
    for one in log:
        pounds, unknown = totals.get((one.refrigerant, one.action), (Decimal(0), 0))
        known = one.pounds
        totals[one.refrigerant, one.action] = (pounds + (known or 0), unknown + (known is None))
    return {key: (_short(pounds), unknown) for key, (pounds, unknown) in sorted(totals.items())}


def _short(pounds: Decimal) -> Decimal:
    """Return pounds to the thousandth, half a gram, without zeros that tell nothing."""
    return Decimal(f"{pounds.quantize(Decimal('0.001')).normalize():f}")


def show_log(console: Console, log: Sequence[Movement], period: str) -> None:
    """Print the log: a line each movement, below it what its record lacks; then the sums and what demands them."""
    console.print(plain(f"Refrigerant added and recovered, {period}", "bold"))
    if not log:
        console.print(plain("No refrigerant was added or recovered in that time."))
        return
    for one, row in zip(log, log_rows(log), strict=True):
        console.print(_line(one, row))
        lacks = ", ".join(demand.name for demand in one.missing)
        word = "demanded and missing" if one.certain else "missing, may be demanded" if one.asked else "missing"
        if lacks:
            console.print(Padding(Text.assemble((f"{word}: ", "bold"), printable(lacks)), (0, 0, 0, 4)))
    console.print()
    for (name, action), (pounds, unknown) in totals_of(log).items():
        more = f", and {unknown} without an amount" if unknown else ""
        console.print(plain(f"{action} {wording.number_text(pounds)} lb of {name or 'unknown refrigerant'}{more}"))
    for rule in dict.fromkeys(one.rule for one in log):
        console.print(plain(f"{rule[:1].upper()}{rule[1:]}.", QUIET))
    console.print(plain(DEFERS, QUIET))


def _line(one: Movement, row: dict[str, Any]) -> Table:
    table = Table.grid(padding=(0, 2, 0, 0), expand=True)
    table.add_column(width=10, no_wrap=True)
    table.add_column(width=7, no_wrap=True)
    table.add_column(ratio=4)
    table.add_column(ratio=5)
    amount = wording.measure_text(one.amount, one.unit) or "no amount"
    scale = " by the scale" if one.by_scale else ""
    moved = Text.assemble((printable(f"{one.action} {amount}"), "bold"), printable(f" {one.refrigerant}{scale}"))
    about = [row["appliance"] or row["site"], row["technician"]]
    table.add_row(plain(row["date"]), plain(one.visit), moved, plain("; ".join(part for part in about if part), QUIET))
    return table
