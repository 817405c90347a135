"""Commands that put right: ``correct``, ``overrule``, ``blank``, ``sign-off``; nothing that was written is lost."""

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
    from journal.keep import Place

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
_BLANK = """\
journal blank VISIT --from 1:02 --to 1:09 --why "a private call"
journal blank VISIT --note 3 --words 2-4 --why "an access code"
journal blank VISIT --part 7 --why ...                   reading 7; also W, F, N, D and a1 for a photograph

Words and sound of those seconds are taken out, and with them what was read from them.  A marker stays, and 'verify'
still passes.  Backups, bundles and copies made earlier are not touched.
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

    blank = commands.add_parser(
        "blank", help="take out words and sound that must not stay; a marker stays", epilog=_BLANK, formatter_class=raw
    )
    add_visit(blank)
    blank.add_argument("--from", dest="start", metavar="TIME", help="seconds, or minutes as 1:02.5")
    blank.add_argument("--to", dest="end", metavar="TIME", help="seconds, or minutes as 1:09")
    blank.add_argument("--recording", metavar="NAME", help="which one, when the visit has several (r1, r2...)")
    blank.add_argument("--note", type=int, metavar="LINE", help="a typed line, counted from 1")
    blank.add_argument("--words", metavar="A-B", help="with --note: only these words of it, counted from 1")
    blank.add_argument("--part", action="append", default=[], metavar="NUMBER", help="a part by its number")
    add_person(blank, why="the reason; it stays readable")
    add_shared(blank)
    blank.set_defaults(run=run_blank)

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
        why = _reason(arguments, "A correction says why")
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
        why = _reason(arguments, "An overruling says why")
        visit = store.overrule(visit.code, target, arguments.says, by=person(arguments, settings), why=why)
        if arguments.json:
            print_visit(store, visit)
            return 0
    made = visit.corrections[-1]
    print(f"{visit.code}: '{made.before}' is overruled by {made.by}: {made.after}. Both stay; a customer reads yours.")
    return 0


def run_blank(arguments: argparse.Namespace) -> int:
    from journal.hear.silence import SUFFIX, silence

    settings = settings_of(arguments)
    why = _reason(arguments, "A blanking says why; the reason stays readable")
    with open_store(settings) as store:
        visit = store.visit(arguments.visit)
        place = _place(visit, arguments)
        parts = [_attachment(visit, part) or part_of(visit, part) for part in arguments.part]
        visit = store.blank(
            visit.code,
            place,
            parts=parts,
            by=person(arguments, settings),
            why=why,
            silence=silence,
            suffix=SUFFIX,
            judge=judge_of(settings),
        )
        if arguments.json:
            print_visit(store, visit)
            return 0
    made = visit.blankings[-1]
    print(f"{visit.code}: {made.what} taken out, judged again; the marker stays. Earlier backups still hold it.")
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


def _reason(arguments: argparse.Namespace, sentence: str) -> str:
    if not (arguments.why or "").strip():
        raise BadInput(f'{sentence}: add --why "...".')
    return str(arguments.why)


def _place(visit: Visit, arguments: argparse.Namespace) -> Place | None:
    from journal.keep import Place

    if arguments.note is not None:
        lines = sorted({u.index for u in visit.utterances if u.recording == "note"})
        if not 1 <= arguments.note <= len(lines):
            raise BadInput(f"{visit.code} has {len(lines)} typed lines.")
        index = lines[arguments.note - 1]
        count = max(len(u.words) for u in visit.utterances if (u.recording, u.index) == ("note", index))
        first, last = _span(arguments.words, count)
        return Place("note", utterance=index, first=first, last=last)
    if arguments.start is None and arguments.end is None:
        if not arguments.part:
            raise BadInput("Say what to blank: --from 1:02 --to 1:09, --note LINE, or --part NUMBER.")
        return None
    if arguments.start is None or arguments.end is None:
        raise BadInput("Say both ends: --from 1:02 --to 1:09.")
    names = [recording.name for recording in visit.recordings]
    name = arguments.recording or (names[0] if len(names) == 1 else None)
    if name not in names:
        raise BadInput(f"Say which recording: --recording {', '.join(names) or '(the visit has none)'}.")
    return Place(name, start=seconds(arguments.start), end=seconds(arguments.end))


def _span(words: str | None, count: int) -> tuple[int, int]:
    if words is None:
        return 0, count - 1
    match = re.fullmatch(r"(\d+)(?:-(\d+))?", words)
    first, last = (int(match[1]), int(match[2] or match[1])) if match else (0, 0)
    if not 1 <= first <= last <= count:
        raise BadInput(f"'{words}' names no words of that line; it has {count}: write 2-4.")
    return first - 1, last - 1


def seconds(text: str) -> float:
    """Return a moment of a recording, ``62.5``, ``1:02.5`` or ``1:01:02``, in seconds.  Raises ``BadInput``."""
    if not re.fullmatch(r"(\d+:){0,2}\d+(\.\d+)?", text):
        raise BadInput(f"'{text}' is no moment of a recording; write 62.5 or 1:02.5.")
    total = 0.0
    for part in text.split(":"):
        total = total * 60 + float(part)
    return total


def _attachment(visit: Visit, name: str) -> str | None:
    return next((attachment.id for attachment in visit.attachments if attachment.name == name), None)
