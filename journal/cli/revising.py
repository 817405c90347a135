"""Commands that put right: ``correct``, ``overrule``, ``sign-off``; nothing that was written is lost."""

from __future__ import annotations

import argparse
import re
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

_CORRECT = """\
journal correct VISIT                                    everything that has a number
journal correct VISIT 7 value=1.4 --why "heard again"    the value of reading 7
journal correct VISIT 7 points=common-run component=compressor --why ...
journal correct VISIT 7 --confirm --why ...              it is right as it is
journal correct VISIT 7 --not-a-reading --why ...        it was no reading
journal correct VISIT W2 amount=5.5 --why ...            work done; F findings, N notes, D named facts
journal correct VISIT site="Quillwort Bakery" --why ...  a field of the visit itself
journal correct VISIT equipment/freezer/serial=QX77 --why ...

Nothing is overwritten: the original stays, with who changed it, when and why.
"""
#: letter of a number -> the parts of a visit it counts
PARTS = {"": "readings", "V": "verdicts", "C": "diagnoses", "W": "work", "F": "findings", "N": "notes", "D": "fields"}
_NAMES = {
    "": "readings",
    "V": "verdicts",
    "C": "causes",
    "W": "work",
    "F": "findings",
    "N": "notes",
    "D": "named facts",
}
_REFERENCE = re.compile(r"([VCWFND]?)(\d+)", re.IGNORECASE)


def add_commands(commands: Commands[argparse.ArgumentParser]) -> None:
    raw = argparse.RawDescriptionHelpFormatter
    correct = commands.add_parser(
        "correct",
        help="put a misheard reading or a field right; the original stays",
        epilog=_CORRECT,
        formatter_class=raw,
    )
    add_visit(correct)
    correct.add_argument("changes", nargs="*", metavar="[NUMBER] FIELD=VALUE")
    correct.add_argument("--confirm", action="store_true", help="the reading is right as it is")
    correct.add_argument("--not-a-reading", action="store_true", help="the words were no reading")
    add_person(correct, why="the reason, kept with the correction")
    add_shared(correct)
    correct.set_defaults(run=run_correct, more="changes")

    overrule = commands.add_parser("overrule", help="say what holds instead of a verdict or a cause; both stay")
    add_visit(overrule)
    overrule.add_argument("number", metavar="V1|C1", help="its number in 'journal show'")
    overrule.add_argument("says", metavar="WHAT HOLDS", help="in words a customer may read")
    add_person(overrule, why="the reason, kept with it")
    add_shared(overrule)
    overrule.set_defaults(run=run_overrule)

    sign_off = commands.add_parser("sign-off", help="close a visit: afterwards only corrections, each with its reason")
    add_visit(sign_off)
    add_person(sign_off)
    add_shared(sign_off)
    sign_off.set_defaults(run=run_sign_off)


def run_correct(arguments: argparse.Namespace) -> int:
    from journal.keep import current
    from journal.present.lists import show_numbered

    settings = settings_of(arguments)
    with open_store(settings) as store:
        visit = store.visit(arguments.visit)
        number, changes = _changes(arguments)
        if number is None and not changes:
            if arguments.json:
                print_visit(store, visit)
            else:
                show_numbered(console(), current(visit), store.suggestions(visit))
            return 0
        why = reason_of(arguments, "A correction says why")
        target = visit.id if number is None else part_of(visit, number)
        by = person(arguments, settings)
        before = len(visit.corrections)
        visit = store.correct(visit.code, target, changes, by=by, why=why, judge=judge_of(settings))
        if arguments.json:
            print_visit(store, visit)
            return 0
    for correction in visit.corrections[before:]:
        print(f"{correction.field}: {correction.before or 'nothing'} -> {correction.after or 'nothing'}")
    print(f"{visit.code}: corrected, judged again; the original stays.")
    return 0


def run_overrule(arguments: argparse.Namespace) -> int:
    settings = settings_of(arguments)
    with open_store(settings) as store:
        visit = store.visit(arguments.visit)
        if arguments.number[:1].upper() not in ("V", "C"):
            raise BadInput("A verdict is named V1, V2..., a cause C1, C2...: journal show prints their numbers.")
        target = part_of(visit, arguments.number)
        why = reason_of(arguments, "An overruling says why")
        visit = store.overrule(visit.code, target, arguments.says, by=person(arguments, settings), why=why)
        if arguments.json:
            print_visit(store, visit)
            return 0
    made = visit.corrections[-1]
    print(f"{visit.code}: '{made.before}' is overruled by {made.by}: {made.after}. Both stay; a customer reads yours.")
    return 0


def run_sign_off(arguments: argparse.Namespace) -> int:
    from journal.keep import current
    from journal.present.completeness import missing_in

    settings = settings_of(arguments)
    with open_store(settings) as store:
        visit = store.sign_off(arguments.visit, by=person(arguments, settings))
        if arguments.json:
            print_visit(store, visit)
            return 0
    print(f"{visit.code} is signed off; from now on it takes corrections only.")
    lacks = [f"{item.what} ({item.word})" if item.word else item.what for item in missing_in(current(visit)).items]
    if lacks:
        print(f"It lacks: {'; '.join(lacks)}.")
    return 0


def part_of(visit: Visit, number: str) -> str:
    """Return the id of a part by its number: ``7`` is a reading, ``V2`` a verdict, ``C1`` a cause...

    Raises ``BadInput`` for a number the visit does not have.
    """
    match = _REFERENCE.fullmatch(number)
    if match is None:
        raise BadInput(f"'{number}' is no number of a part; write 7, V2, C1, W1...")
    letter, place = match[1].upper(), int(match[2])
    parts: tuple[Any, ...] = getattr(visit, PARTS[letter])
    if not 1 <= place <= len(parts):
        have = f"has {_NAMES[letter]} {letter}1 to {letter}{len(parts)}" if parts else f"has no {_NAMES[letter]}"
        raise BadInput(f"{visit.code} {have}: journal correct {visit.code} lists what has a number.")
    return str(parts[place - 1].id)


def _changes(arguments: argparse.Namespace) -> tuple[str | None, dict[str, str]]:
    words = list(arguments.changes)
    number = words.pop(0) if words and _REFERENCE.fullmatch(words[0]) else None
    changes = {}
    for word in words:
        field, equals, value = word.partition("=")
        if not equals:
            raise BadInput(f"'{word}' says nothing; write FIELD=VALUE, e.g. value=1.4.")
        changes[field if "/" in field else field.replace("-", "_")] = value
    for flag, field in ((arguments.confirm, "confirmed"), (arguments.not_a_reading, "not a reading")):
        if flag:
            if number is None:
                raise BadInput("Say which reading: journal correct VISIT lists them with their numbers.")
            changes[field] = "yes"
    if number is not None and not changes:
        raise BadInput(f"Say what of {number} is to change: value=1.4, or --confirm, or --not-a-reading.")
    return number, changes


def reason_of(arguments: argparse.Namespace, sentence: str) -> str:
    """Return the reason given; ``sentence`` says what needs one.  Raises ``BadInput`` without it."""
    if not (arguments.why or "").strip():
        raise BadInput(f'{sentence}: add --why "...".')
    return str(arguments.why)
