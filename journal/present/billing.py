"""What a bill is written from, in one place: the order, hours, parts, refrigerant, what was quoted or declined.

Nothing is priced here, and nothing is guessed: what a block lacks is named.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from journal.domain.visit import Visit, WorkDone
from journal.keep.complete import lacking
from journal.present import wording
from journal.present.page import Facts
from journal.present.record_fields import bill_blocks, fitting_actions, label_of
from journal.present.refrigerant import amount_words, movements


@dataclass(frozen=True, slots=True)
class Block:
    """One block of the bill: named facts, then lines of their own, and what the block lacks."""

    name: str
    facts: Facts
    lines: tuple[str, ...]
    missing: tuple[str, ...] = ()

    @property
    def empty(self) -> bool:
        return not (self.facts or self.lines or self.missing)


def bill_of(visit: Visit) -> tuple[Block, ...]:
    """Return the blocks of a visit as it stands (corrections applied); one that would hold nothing is left out."""
    held = {fact.name: fact.value for fact in visit.fields if fact.value.strip()}
    lacks = {lack.held_by.removeprefix("field."): lack.name for lack in lacking(visit) if lack.when == "billing"}
    blocks = []
    for name, names in bill_blocks().items():
        facts = [(label_of(one), held[one]) for one in names if one in held]
        if hours := on_site(held) if "arrived" in names else "":
            facts.append(("On site", hours))
        missing = tuple(lacks[one] for one in names if one in lacks)
        blocks.append(Block(name, tuple(facts), tuple(_lines(name, visit, several=len(visit.equipment) > 1)), missing))
    return tuple(block for block in blocks if not block.empty)


def on_site(held: dict[str, str]) -> str:
    """Return how long somebody was there, where arrival and leaving are times of one day (``08:10``)."""
    try:
        arrived, left = (dt.time.fromisoformat(held[name].strip()) for name in ("arrived", "left"))
    except (KeyError, ValueError):
        return ""
    minutes = (left.hour - arrived.hour) * 60 + left.minute - arrived.minute
    if minutes <= 0:
        return ""
    return f"{minutes // 60} h {minutes % 60:02d} min"


def _lines(block: str, visit: Visit, *, several: bool) -> Iterable[str]:
    """The lines of a block; the machine stands in them where the visit has several."""
    fitted = fitting_actions()
    moved = movements(visit)
    work = [one for one in visit.work if one.done]
    if block == "Labour":
        actions = {movement.action for movement in moved}
        return (_text(one, several) for one in work if one.action not in fitted | actions)
    if block == "Parts":
        return (_text(one, several) for one in work if one.action in fitted)
    if block == "Refrigerant":
        return (
            " ".join(part for part in (m.action, amount_words(m) or "an amount nobody said", m.refrigerant) if part)
            + (f", {m.machine}" if several and m.machine else "")
            for m in moved
        )
    return (f"{_text(one, several)} (to do)" for one in visit.work if not one.done) if "ordered" in block else ()


def _text(work: WorkDone, several: bool) -> str:
    amount = wording.measure_text(work.amount, work.unit)
    what = " ".join(part for part in (work.action, amount, work.component or "", work.part or "") if part)
    return f"{what}, {work.equipment}" if several and work.equipment else what
