"""Command ``fill``: named facts, plates and notes typed into a record."""

from __future__ import annotations

import argparse
import difflib
import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from journal.cli.options import (
    Commands,
    add_person,
    add_shared,
    add_visit,
    console,
    judge_of,
    open_store,
    person,
    print_visit,
    settings_of,
)
from journal.errors import BadInput

if TYPE_CHECKING:
    from journal.domain.visit import Visit
    from journal.keep import Store

_FILL = """\
journal fill VISIT                                       what is known by name, and what is missing
journal fill VISIT "work order=WO-2231" arrived=08:10 left=10:45
journal fill VISIT "how it was left=running" "who was told=M. Lindqvist"
journal fill VISIT --machine "walk-in freezer" serial=QX7704 "charge=12 lb"
journal fill VISIT complaint="freezer is warm" conclusion="relay welded"

What is there already is changed as a correction: then --why is needed, and what it was stays.
"""
_OF_VISIT = ("site", "technician", "title", "started")
_OF_MACHINE = ("type", "maker", "model", "serial", "refrigerant", "charge", "location", "use")
_TOPICS = ("complaint", "conclusion", "recommendation", "follow-up", "internal")


def add_commands(commands: Commands[argparse.ArgumentParser]) -> None:
    raw = argparse.RawDescriptionHelpFormatter
    fill = commands.add_parser(
        "fill",
        help="write named facts into a record: billing, plate, how it was left",
        epilog=_FILL,
        formatter_class=raw,
    )
    add_visit(fill)
    fill.add_argument("facts", nargs="*", metavar="NAME=VALUE")
    fill.add_argument("--machine", metavar="NAME", help="of this machine; a new name is a new machine")
    add_person(fill, why="the reason, where something is changed")
    add_shared(fill)
    fill.set_defaults(run=run_fill, more="facts")


def run_fill(arguments: argparse.Namespace) -> int:
    from journal.keep import current
    from journal.present.lists import show_facts

    settings = settings_of(arguments)
    with open_store(settings) as store:
        visit = current(store.visit(arguments.visit))
        if arguments.facts:
            by = person(arguments, settings)
            _fill(store, visit, arguments, by, judge_of(settings))
            visit = current(store.visit(visit.id))
        if arguments.json:
            print_visit(store, visit)
            return 0
    show_facts(console(), visit, listed=not arguments.facts)
    return 0


@dataclass
class Filling:
    """What is new in a visit, and what changes something that is there: (target, field -> text, what it replaces)."""

    new: dict[str, tuple[Any, ...]] = field(default_factory=dict)
    changes: list[tuple[str, dict[str, str]]] = field(default_factory=list)
    replaced: list[str] = field(default_factory=list)

    def add(self, kind: str, part: object) -> None:
        self.new[kind] = (*self.new.get(kind, ()), part)


def _fill(store: Store, visit: Visit, arguments: argparse.Namespace, by: str, judge: Any) -> None:
    from journal.domain.visit import Visit as Whole

    filling = _sorted(visit, arguments.facts, arguments.machine)
    if filling.replaced and not (arguments.why or "").strip():
        raise BadInput(f'{filling.replaced[0]} is filled in already; to change it say why: add --why "...".')
    why = arguments.why or "filled in"
    if filling.new:
        parts: dict[str, Any] = dict(filling.new)
        more = Whole(visit.id, visit.code, **parts)
        store.extend(visit.id, more, by=by, why=why, judge=judge if "equipment" in filling.new else None)
    for target, changes in filling.changes:
        store.correct(visit.id, target, changes, by=by, why=why, judge=judge)


def _sorted(visit: Visit, facts: list[str], machine: str | None) -> Filling:
    """Tell new facts from changed ones, and those of the visit, of a machine, notes and named facts apart."""
    from journal.domain.visit import Equipment, Field, Note

    filling = Filling()
    of_visit: dict[str, str] = {}
    of_machine: dict[str, str] = {}
    for fact in facts:
        name, equals, value = fact.partition("=")
        name, value = name.strip(), value.strip()
        if not equals or not name or not value:
            raise BadInput(f"'{fact}' says nothing; write NAME=VALUE, e.g. arrived=08:10.")
        if name in _OF_VISIT:
            of_visit[name] = value
            _note_change(filling, getattr(visit, name), value, name)
        elif name in _OF_MACHINE and not (name == "location" and machine is None and not visit.equipment):
            of_machine |= _charge(value) if name == "charge" else {name: value}
        elif name in _TOPICS:
            filling.add("notes", Note(name, value))
        else:
            _named(filling, visit, Field(_known(name), value, "typed", machine), value)
    if of_visit:
        filling.changes.append((visit.id, of_visit))
    if of_machine or (machine and all(m.name != machine for m in visit.equipment)):
        _machine(filling, visit, machine, of_machine, Equipment)
    return filling


def _named(filling: Filling, visit: Visit, new: Any, value: str) -> None:
    held = next((f for f in visit.fields if (f.name, f.equipment) == (new.name, new.equipment)), None)
    if held is None:
        filling.add("fields", new)
    elif held.value == value and held.doubts:
        filling.changes.append((held.id, {"confirmed": "yes"}))
    elif held.value != value:
        filling.changes.append((held.id, {"value": value}))
        filling.replaced.append(new.name)


def _machine(filling: Filling, visit: Visit, name: str | None, facts: dict[str, str], make: Any) -> None:
    from journal.keep.wording import from_text

    if name is None:
        if len(visit.equipment) != 1:
            names = ", ".join(machine.name for machine in visit.equipment) or "none yet"
            raise BadInput(f"Say which machine: --machine NAME; the visit has: {names}.")
        name = visit.equipment[0].name
    held = next((machine for machine in visit.equipment if machine.name == name), None)
    if held is None:
        filling.add("equipment", make(name, **{key: from_text(make, key, text) for key, text in facts.items()}))
        return
    for key, text in facts.items():
        _note_change(filling, getattr(held, key), text, f"{key} of {name}")
    changes = {f"equipment/{name}/{key}": text for key, text in facts.items()}
    if held.doubts and any(key in ("serial", "model") and getattr(held, key) == text for key, text in facts.items()):
        changes[f"equipment/{name}/confirmed"] = "yes"  # typed as it was heard
    filling.changes.append((visit.id, changes))


def _note_change(filling: Filling, held: object, text: str, what: str) -> None:
    if held not in (None, "") and str(held) != text:
        filling.replaced.append(what)


def _charge(text: str) -> dict[str, str]:
    from journal.keep.wording import unit_code

    match = re.fullmatch(r"(\d+(?:\.\d+)?)\s*(\S+)", text)
    if match is None:
        raise BadInput(f"'{text}' is no charge; write a number and its unit, e.g. 12.5 lb.")
    return {"charge": match[1], "charge_unit": unit_code(match[2])}


def _known(name: str) -> str:
    """Return a listed name as it is spelled there; a near miss is refused, so that no fact hides behind a slip."""
    from journal.present.record_fields import known_fields

    plain = " ".join(re.split(r"[\s_-]+", name.lower()))
    if plain in known_fields():
        return plain
    every = [*known_fields(), *_OF_VISIT, *_OF_MACHINE, *_TOPICS]
    near = difflib.get_close_matches(plain, every, 1, 0.75)
    if near:
        raise BadInput(f"'{name}' is not in the list of names; was '{near[0]}' meant? journal fill VISIT prints it.")
    return name
