"""What people type, held to what can be meant before it is written down for good.

Words of a recording are kept as they were heard; these bounds are for what somebody enters by hand.
"""

from __future__ import annotations

import datetime as dt
import re
from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import Reading
from journal.domain.unit_table import symbol_of
from journal.domain.visit import Visit
from journal.errors import BadInput

LINE = 300  # letters of a name, a fact, a reason
TEXT = 2_000  # letters of a note or a typed line of narration
_NUMBER = re.compile(r"[+-]?(\d{1,12}(\.\d{0,12})?|\.\d{1,12})([eE][+-]?\d{1,2})?")
_DIGITS = 12  # before and behind the point; no meter shows more
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff]")
#: computers, and the journal with them, count time from here
_EARLIEST = dt.datetime(1970, 1, 1, tzinfo=dt.UTC)
_AHEAD = dt.timedelta(days=1)  # a clock or a time zone may be wrong by that much
_OF_WORDS = ("text", "plain", "what")
#: quantities that no meter shows below nothing (physics)
NEVER_BELOW_NOTHING = (
    Kind.RESISTANCE, Kind.CAPACITANCE, Kind.FREQUENCY, Kind.MASS, Kind.DURATION, Kind.PERCENT, Kind.CONCENTRATION,
)  # fmt: skip
#: where temperature ends (physics): unit -> the least number
_LEAST = {"degF": Decimal("-459.67"), "degC": Decimal("-273.15"), "degK": Decimal(0)}


def number(field: str, text: str) -> Decimal:
    """Return a typed number exactly as its digits stand.  Raises ``BadInput`` for what no meter shows."""
    plain = text.strip().replace("\N{MINUS SIGN}", "-")
    if not _NUMBER.fullmatch(plain):
        raise BadInput(f"{field} is a number such as 24.30, with at most {_DIGITS} digits, not {shown(text)}.")
    meant = Decimal(plain)
    if meant and not -_DIGITS <= meant.adjusted() < _DIGITS:
        raise BadInput(f"{field} is no number of this size ({shown(text)}); no meter shows it.")
    return meant


def line(what: str, text: str, most: int = LINE) -> str:
    """Return typed words on one line, without blanks around them.

    Raises ``BadInput`` when they are longer than anybody reads or hold signs that do not print.
    """
    plain = text.strip()
    if _CONTROL.search(plain):
        raise BadInput(f"{what} holds a sign that does not print ({shown(text)}); write it on one line.")
    if len(plain) > most:
        raise BadInput(f"{what} is {len(plain)} letters long, at most {most} are kept; make it shorter.")
    return plain


def words(field: str, text: str) -> str:
    """Return what was typed for a field of text: notes may be longer than names."""
    return line(field, text, TEXT if field in _OF_WORDS else LINE)


def moment(text: str, now: dt.datetime | None = None) -> str:
    """Return a typed date and time as UTC, ISO 8601; without an offset it is local time.

    Raises ``BadInput`` for no moment, one before 1970, and one that is still to come.
    """
    try:
        when = dt.datetime.fromisoformat(text.strip()).astimezone(dt.UTC)
    except (ValueError, OverflowError):
        raise BadInput(f"{shown(text)} is no date and time; write it as 2026-03-02T08:15.") from None
    if not _EARLIEST <= when <= (now or dt.datetime.now(tz=dt.UTC)) + _AHEAD:
        wrong = "lies before 1970" if when < _EARLIEST else "is still to come"
        raise BadInput(f"{text.strip()} {wrong}; write when it was, e.g. 2026-03-02T08:15.")
    return when.isoformat(timespec="seconds")


def day(what: str, text: str) -> str:
    """Return a typed day or moment as it stands.  Raises ``BadInput`` when it is neither."""
    plain = text.strip()
    try:
        dt.datetime.fromisoformat(plain)
    except ValueError:
        raise BadInput(f"{what} {shown(text)} is no day; write it as 2026-03-02.") from None
    return plain


def possible(reading: Reading) -> None:
    """Raise ``BadInput`` for an entered reading that no meter shows: less than nothing, colder than cold can be."""
    for value in (reading.value, reading.low, reading.high):
        if value is None:
            continue
        said = f"{value} {symbol_of(reading.unit)}".strip()
        if reading.kind in NEVER_BELOW_NOTHING and value < 0:
            raise BadInput(f"A {reading.kind} is never below nothing, so it cannot be {said}.")
        if reading.unit in _LEAST and value < _LEAST[reading.unit]:
            raise BadInput(f"Nothing is colder than {_LEAST[reading.unit]} {symbol_of(reading.unit)}; not {said}.")


def entered(more: Visit) -> None:
    """Raise ``BadInput`` for named facts, notes and machines somebody typed that are no such thing."""
    for fact in more.fields:
        if fact.evidence is None:
            line("The name of a fact", fact.name)
            line(fact.name, fact.value)
    for note in more.notes:
        if note.evidence is None:
            line(f"The {note.topic[:LINE]}", note.text, TEXT)
    for machine in more.equipment:
        for name in ("name", "type", "maker", "model", "serial", "refrigerant", "location", "use"):
            line(f"The machine's {name}", getattr(machine, name) or "")
        if machine.charge is not None and machine.charge <= 0:
            raise BadInput(f"The full charge of {machine.name} is more than nothing; {machine.charge} cannot be.")


def shown(text: str) -> str:
    """Return what was typed in quotes, shortened, with every sign that does not print written out."""
    short = text if len(text) <= 40 else f"{text[:40]}…"
    return repr(short)
