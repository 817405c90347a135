"""What people change in a visit on its page: readings, verdicts, facts, papers, and the closing of it."""

from __future__ import annotations

import re
import tempfile
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from journal.domain.reading import Alternative, Reading, State
from journal.domain.unit_table import unit_table
from journal.domain.visit import Correction, Field, Visit
from journal.errors import BadInput, NotFound
from journal.keep.corrections import CONFIRMED, NOT_A_READING, corrected_fields, current
from journal.pipeline import judge_again
from journal.present import wording
from journal.present.web.access import person_of, seen_visit, state_of, to
from journal.present.web.problems import Refused

OTHERS = 4  # alternatives offered as one tap each
FIELDS = ("value", "unit", "component", "points", "role", "phase", "equipment")

_NUMBER = re.compile(r"[+-]?\d{1,9}(\.\d{1,9})?|[+-]?\.\d{1,9}")
_RANGE = re.compile(r"(\S+)\s+(?:to|–)\s+(\S+)")


def correct(request: Request) -> Response:
    """Put a reading right: a value chosen, fields changed, confirmed, called no reading, or the last change undone."""
    kept, form = seen_visit(request), request.state.form
    target = request.path_params["reading"]
    reading = next((one for one in current(kept).readings if one.id == target), None)
    if reading is None:
        raise NotFound("There is no such reading in this visit.")
    made = corrected_fields(kept).get(target, ())
    stale = str(form.get("seen", len(made))) != str(len(made))
    if stale and form.get("undo"):
        raise Refused(409, f"It was changed meanwhile; it reads {wording.amount_text(reading)} now.")
    changes = undoing(kept, reading, made) if form.get("undo") else _wanted(reading, form)
    if stale:
        if _holds(reading, changes):
            return to(f"/visits/{kept.code}#r-{target}")  # the same again: a double click, or two of one mind
        raise Refused(409, f"Somebody else corrected this reading; it reads {wording.amount_text(reading)} now.")
    if not changes:
        raise BadInput("Nothing would change: it reads like that already.")
    why = str(form.get("why", "")).strip() or ("put back" if form.get("undo") else _because(changes))
    rules = state_of(request).rules

    def change(by: str) -> None:
        state_of(request).store.correct(
            kept.code, target, changes, by=by, why=why, judge=lambda now: judge_again(now, rules)
        )

    return _changed(request, kept, change, f"#r-{target}")


def overrule(request: Request) -> Response:
    """Say what holds instead of a verdict or a cause; both stay."""
    kept, form = seen_visit(request), request.state.form
    says, why = str(form.get("says", "")).strip(), str(form.get("why", "")).strip()
    target = request.path_params["verdict"]
    store = state_of(request).store
    return _changed(request, kept, lambda by: store.overrule(kept.code, target, says, by=by, why=why), f"#v-{target}")


def write_down(request: Request) -> Response:
    """Write a named fact into the record: what the bill needs, how it was left; one that is there is corrected."""
    kept, form = seen_visit(request), request.state.form
    name, value = (str(form.get(part, "")).strip()[:300] for part in ("name", "value"))
    if not name or not value:
        raise BadInput("Say what it is and what to write there, such as ‘Work order’ and ‘WO-2231’.")
    store = state_of(request).store
    held = next((fact for fact in current(kept).fields if fact.name == name and fact.equipment is None), None)

    def change(by: str) -> None:
        if held is None:
            store.extend(kept.code, Visit(kept.id, kept.code, fields=(Field(name, value),)), by=by, why="written down")
        elif held.value != value:  # the same twice is once
            store.correct(kept.code, held.id, {"value": value}, by=by, why="written down anew")

    return _changed(request, kept, change, "#bill")


def sign_off(request: Request) -> Response:
    """Close the visit; twice is once."""
    kept = seen_visit(request)
    if current(kept).status == "closed":
        return to(f"/visits/{kept.code}")
    store = state_of(request).store
    return _changed(request, kept, lambda by: store.sign_off(kept.code, by=by), "")


def attach(request: Request) -> Response:
    """Keep a photograph or paper with the visit."""
    kept, form = seen_visit(request), request.state.form
    file = form.get("file")
    if file is None or isinstance(file, str) or not file.filename:
        raise BadInput("Choose a photograph or a file first.")
    store, caption = state_of(request).store, str(form.get("caption", "")).strip()[:300]
    with tempfile.TemporaryDirectory(prefix="journal-attach-") as folder:
        path = Path(folder) / (Path(file.filename.replace("\\", "/")).name[-100:] or "file")
        path.write_bytes(file.file.read())
        return _changed(request, kept, lambda by: store.attach(kept.code, path, by=by, caption=caption), "#attached")


def choices_of(reading: Reading) -> tuple[tuple[str, dict[str, str]], ...]:
    """Return the other values that are one tap away: what is written on each, and what it changes."""
    found: dict[str, dict[str, str]] = {}
    for other in reading.alternatives:
        if changes := _alternative(other):
            found.setdefault(wording.alternative_text(other, reading), changes)
    return tuple(found.items())[:OTHERS]


def values_of(reading: Reading) -> dict[str, str]:
    """Return what the form of a reading holds: its fields as people type them."""
    return {
        "value": _amount(reading),
        "unit": unit_words(reading.unit),
        "component": reading.component or "",
        "points": ", ".join(reading.points),
        "role": reading.role.value,
        "phase": reading.phase.value,
        "equipment": reading.equipment or "",
    }


@cache
def known_units() -> tuple[tuple[str, str], ...]:
    """Return every unit as (how it is typed, its code): by its symbol, where no other unit has the same."""
    symbols = Counter(unit.symbol for unit in unit_table().values())
    return tuple((unit.symbol if symbols[unit.symbol] == 1 else unit.code, unit.code) for unit in unit_table().values())


def unit_words(code: str | None) -> str:
    return next((words for words, known in known_units() if known == code), "")


def undoing(kept: Visit, reading: Reading, made: tuple[Correction, ...]) -> dict[str, str]:
    """Return the changes that take the last correction of a reading back, its doubts with it if it had any then.

    Raises ``BadInput`` where nothing was changed.
    """
    if not made:
        raise BadInput("Nothing was changed here that could be put back.")
    last = [one for one in made if (one.at, one.by) == (made[-1].at, made[-1].by)]
    earlier = tuple(one for one in kept.corrections if one not in last)
    before = next(one for one in current(replace(kept, corrections=earlier)).readings if one.id == reading.id)
    changes = {one.field: one.before for one in last}
    if before.doubts and not reading.doubts:
        changes[CONFIRMED] = "no"
    return changes


def _changed(request: Request, kept: Visit, change: Callable[[str], object], place: str) -> Response:
    change(person_of(request).name)
    return to(f"/visits/{kept.code}{place}")


def _alternative(other: Alternative) -> dict[str, str]:
    fields = {name: getattr(other, name) for name in ("value", "unit", "kind", "state")}
    return {name: str(value) for name, value in fields.items() if value is not None}


def _amount(reading: Reading) -> str:
    if reading.value is not None:
        return format(reading.value, "f")
    if reading.low is not None and reading.high is not None:
        return f"{reading.low:f} to {reading.high:f}"
    return reading.state.value if reading.state else ""


def _wanted(reading: Reading, form: Any) -> dict[str, str]:
    """Return the fields a form changes: a choice by its number, a button, or the typed fields that differ."""
    if (number := str(form.get("choice", ""))).isdigit():
        choices = choices_of(reading)
        if int(number) >= len(choices):
            raise Refused(409, f"That choice is gone; it reads {wording.amount_text(reading)} now.")
        return choices[int(number)][1]
    if form.get("confirm"):
        return {CONFIRMED: "yes"}
    if form.get("not_a_reading"):
        return {NOT_A_READING: "yes"}
    if form.get("again"):
        return {NOT_A_READING: "no"}
    before = values_of(reading)
    typed = {name: str(form[name]).strip() for name in FIELDS if name in form}
    typed = {name: text for name, text in typed.items() if text != before[name]}
    if unit := typed.get("unit"):
        codes = dict(known_units()) | {code: code for _, code in known_units()}
        if unit not in codes:
            raise BadInput(f"‘{unit[:40]}’ is no unit the journal knows; the field lists them as you type.")
        typed["unit"] = codes[unit]
    amount = typed.pop("value", None)
    if amount is None:
        return typed
    return typed | (_typed_amount(amount) if amount else {"value": ""})


def _typed_amount(text: str) -> dict[str, str]:
    """Return what was typed as a value: a number, a range (``11 to 12``), or what a meter shows without one."""
    if text in list(State):
        return {"state": text}
    if _NUMBER.fullmatch(text):
        return {"value": text}
    ends = _RANGE.fullmatch(text)
    if ends and all(_NUMBER.fullmatch(end) for end in ends.groups()):
        return {"low": ends[1], "high": ends[2]}
    raise BadInput(f"A value is a number such as 24.30, a range such as 11 to 12, or one of: {', '.join(State)}.")


def _holds(reading: Reading, changes: dict[str, str]) -> bool:
    numbers = {name: getattr(reading, name) for name in ("value", "low", "high")}
    said = {
        **values_of(reading),
        "unit": reading.unit or "",
        **{name: "" if number is None else format(number, "f") for name, number in numbers.items()},
        "state": reading.state.value if reading.state else "",
        "kind": reading.kind.value,
        CONFIRMED: "no" if reading.doubts else "yes",
        NOT_A_READING: "yes" if reading.withdrawn else "no",
    }
    return all(_same(said.get(name, ""), text) for name, text in changes.items())


def _same(held: str, wanted: str) -> bool:
    if _NUMBER.fullmatch(held) and _NUMBER.fullmatch(wanted):
        return Decimal(held) == Decimal(wanted)
    return held == wanted


def _because(changes: dict[str, str]) -> str:
    if CONFIRMED in changes:
        return "listened again: it is right"
    return "listened again: no reading" if changes.get(NOT_A_READING) == "yes" else "listened again"
