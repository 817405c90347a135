"""One check on numbers given by hand: ``run_by_hand("capacitor", {"measured": "41.2 uF", "marked": "45 uF"})``."""

from __future__ import annotations

import datetime as dt
import difflib
import re
from collections.abc import Iterable, Mapping
from decimal import Decimal, InvalidOperation
from functools import cache
from importlib import resources
from typing import Any

from journal.domain.kind import Kind
from journal.domain.reading import Reading, Reference, State
from journal.domain.unit_table import can_measure, symbol_of, unit_table
from journal.domain.verdict import Verdict
from journal.domain.visit import Equipment
from journal.errors import BadInput, NotFound
from journal.judge import refrigerants
from journal.judge.check import Case, Check, Need
from journal.judge.frame import verdict_of
from journal.judge.limits import LimitBook, default_book
from journal.judge.numbers import in_unit
from journal.judge.registry import CHECKS
from journal.judge.surroundings import Surroundings

MACHINE = ("refrigerant", "type", "use", "maker", "place")
ALWAYS = ("component", "conditions", "instrument", "altitude", "barometer", "date", "trend")
_STATES = {
    "open": State.OPEN, "ol": State.OPEN, "infinity": State.OPEN, "short": State.SHORT, "shorted": State.SHORT,
    "continuity": State.CONTINUITY, "closed": State.CONTINUITY, "present": State.PRESENT, "absent": State.ABSENT,
    "none": State.ABSENT, "nothing": State.ABSENT,
}  # fmt: skip
_NUMBER = r"[-+−]?\d+(?:,\d{3})*(?:\.\d+)?|[-+−]?\.\d+"
_ONE = re.compile(rf"^(?P<sign>[<>]|±|\+-|\+/-)?\s*(?P<number>{_NUMBER})\s*(?P<unit>[^\d\s].*)?$")
_RANGE = re.compile(rf"^(?P<low>{_NUMBER})\s*(?:-|–|/|to|\.\.)\s*(?P<high>{_NUMBER})\s*(?P<unit>[^\d\s].*)?$")
_POUNDS = re.compile(rf"^(?P<pounds>{_NUMBER})\s*lbs?\s*(?P<ounces>{_NUMBER})\s*oz$")


def run_by_hand(name: str, given: Mapping[str, str], *, limits: LimitBook | None = None) -> Verdict:
    """Return the verdict of one check on values given as text.

    ``given`` maps the check's needs ('measured', 'marked'...) and facts ('refrigerant', 'type'...) to text such as
    '41.2uF', '208-230 V', 'open' or 'R-448A'.  Raises ``BadInput`` with the nearest right name, the missing value or
    the right unit; ``NotFound`` when the check has nothing to say about the values.
    """
    check = _check(name)
    plain = {_flag(key): value.strip() for key, value in given.items()}
    slots = {_flag(slot): slot for slot in check.needs}
    allowed = (*slots, *MACHINE, *ALWAYS, *(f for f in check.facts if f not in MACHINE))
    for key in plain:
        if key not in allowed:
            raise BadInput(f"{check.name} takes no --{key}; the nearest it takes is --{_nearest(key, allowed)}.")
    component = _component(check, plain)
    readings = {
        slot: _reading(key, plain[key], check.needs[slot], component, plain)
        for key, slot in slots.items()
        if key in plain
    }
    _complete(check, readings, plain, component)
    choices = {key: plain[key] for key in check.facts if key in plain}
    case = Case(
        check, readings, component, _machine(plain), limits or default_book(), _surroundings(plain), choices=choices
    )
    verdict = verdict_of(case)
    if verdict is None:
        raise NotFound(f"{check.name} has nothing to say about these values: they show no such fault.")
    return verdict


def _check(name: str) -> Check:
    wanted = _flag(name)
    if wanted not in CHECKS:
        raise BadInput(
            f"There is no check called '{name}'; the nearest is '{_nearest(wanted, CHECKS)}' (journal check "
            f"lists them)."
        )
    return CHECKS[wanted]


def _flag(name: str) -> str:
    return name.strip().lower().replace("_", "-").replace(" ", "-")


def _nearest(name: str, names: Iterable[str]) -> str:
    return difflib.get_close_matches(name, list(names), n=1, cutoff=0.0)[0]


def _component(check: Check, plain: Mapping[str, str]) -> str | None:
    parts = [part for part in check.each if part is not None]
    if "component" not in plain:
        return parts[0] if parts else None
    wanted = plain["component"].lower()
    if parts and wanted not in parts:
        raise BadInput(f"{check.name} is not for a '{wanted}'; the nearest it is for is '{_nearest(wanted, parts)}'.")
    return wanted


def _complete(check: Check, readings: Mapping[str, Reading], plain: Mapping[str, str], component: str | None) -> None:
    missing = [
        f"--{_flag(slot)} ({need.ask.format(component=component or 'machine')})"
        for slot, need in check.needs.items()
        if need.required and slot not in readings
    ]
    if "refrigerant" in check.facts and "refrigerant" not in plain:
        missing.append("--refrigerant")
    if missing:
        raise BadInput(f"{check.name} also needs {' and '.join(missing)}.")


def _machine(plain: Mapping[str, str]) -> Equipment | None:
    if not any(key in plain for key in MACHINE):
        return None
    name = plain.get("refrigerant")
    if (
        name is not None
        and refrigerants.known(name) is None
        and not re.fullmatch(r"R-?\d{2,4}[A-Za-z()]*", name.strip(), re.I)
    ):
        raise BadInput(
            f"'{name}' is no refrigerant's designation; the nearest known one is {refrigerants.nearest(name)}."
        )
    return Equipment(
        name="",
        type=plain.get("type"),
        maker=plain.get("maker"),
        use=plain.get("use"),
        location=plain.get("place"),
        refrigerant=refrigerants.designation(name) if name else None,
    )


def _surroundings(plain: Mapping[str, str]) -> Surroundings:
    kilopascal = metres = None
    if "barometer" in plain:
        amount = _amounts("barometer", plain["barometer"], Kind.PRESSURE, "inHg")
        kilopascal = float(in_unit(amount["value"], amount["unit"], "kilopascal"))
    if "altitude" in plain:
        metres = _metres(plain["altitude"])
    day = None
    if "date" in plain:
        try:
            day = dt.date.fromisoformat(plain["date"])
        except ValueError:
            raise BadInput(f"--date '{plain['date']}' is no date; write it as 2026-11-25.") from None
    return Surroundings(metres, kilopascal, day)


def _metres(text: str) -> float:
    found = re.fullmatch(rf"({_NUMBER})\s*(ft|feet|m|metres|meters)", text)
    if not found:
        raise BadInput(f"--altitude '{text}' is no height; write it as '5000 ft' or '1500 m'.")
    return float(found[1].replace(",", "")) * (0.3048 if found[2].startswith("f") else 1.0)


def _reading(key: str, text: str, need: Need, component: str | None, plain: Mapping[str, str]) -> Reading:
    fields: dict[str, Any] = {"kind": need.kind, "role": need.roles[0], "component": component, "id": key}
    if need.points:
        fields["points"] = tuple(sorted(need.points[0]))
    if need.measured:
        fields["conditions"] = tuple(part.strip() for part in plain.get("conditions", "").split(",") if part.strip())
        fields["instrument"] = plain.get("instrument")
    state = _STATES.get(text.lower())
    if state is not None:
        if not need.states:
            raise BadInput(f"--{key} has to be a number with its unit, as '{_example(need)}'.")
        return Reading(state=state, **fields)
    amounts = _amounts(key, text, need.kind, _example(need))
    if need.kind is Kind.PRESSURE and amounts["unit"] not in ("psia", "micron_Hg"):
        amounts.setdefault("reference", _reference(text, amounts["unit"]))
    return Reading(**fields, **amounts)


def _reference(text: str, unit: str) -> Reference:
    if re.search(r"\babs", text, re.I):
        return Reference.ABSOLUTE
    return Reference.VACUUM if unit == "inch_Hg" or "vac" in text.lower() else Reference.GAUGE


def _example(need: Need) -> str:
    return f"12 {symbol_of(need.unit).replace('Δ', '')}"


def _amounts(key: str, text: str, kind: Kind, example: str) -> dict[str, Any]:
    """Return value or low and high, and the unit, of a text."""
    text = text.replace("−", "-")
    if kind is Kind.MASS and (both := _POUNDS.match(text)):
        return {"value": Decimal(both["pounds"]) + Decimal(both["ounces"]) / 16, "unit": "pound"}
    try:
        if span := _RANGE.match(text):
            low, high = (Decimal(span[end].replace(",", "")) for end in ("low", "high"))
            if low > high:
                raise BadInput(f"--{key} '{text}' runs downwards; write the lower figure first.")
            return {"low": low, "high": high, "unit": _unit(key, span["unit"], kind, example)}
        one = _ONE.match(text)
        if not one:
            raise BadInput(f"--{key} '{text}' is no number with a unit; write it as '{example}'.")
        number, unit = Decimal(one["number"].replace(",", "")), _unit(key, one["unit"], kind, example)
    except InvalidOperation:
        raise BadInput(f"--{key} '{text}' is no number with a unit; write it as '{example}'.") from None
    if one["sign"] in ("<", ">"):
        return {"high" if one["sign"] == "<" else "low": number, "unit": unit}
    return {"value": number, "unit": unit}


def _unit(key: str, written: str | None, kind: Kind, example: str) -> str:
    if not written:
        raise BadInput(f"--{key} needs its unit; write it as '{example}'.")
    bare = re.sub(r"[\s.]|\b(abs|absolute|gauge|vac|vacuum|rms)\b", "", written)
    codes = _writings().get(bare) or _small(bare)
    fitting = [code for code in codes if can_measure(code, kind)]
    if fitting:
        return fitting[0]
    if codes:
        raise BadInput(f"--{key} is a {kind} and '{written}' is none; write it as '{example}'.")
    raise BadInput(
        f"--{key}: the unit '{written}' is not known; the nearest that fits is '{_nearest_unit(bare, kind)}'."
    )


def _small(written: str) -> tuple[str, ...]:
    """Return what a writing means in lower case; a capital M is never taken for milli."""
    codes = _writings().get(written.lower(), ())
    return tuple(code for code in codes if not (written.startswith("M") and code.startswith("milli")))


def _nearest_unit(written: str, kind: Kind) -> str:
    fitting = {w: code for w, codes in _writings().items() for code in codes if can_measure(code, kind)}
    return symbol_of(fitting[_nearest(written.lower(), fitting)]).replace("Δ", "")


@cache
def _writings() -> dict[str, tuple[str, ...]]:
    """Return every writing of a unit with the codes it may mean."""
    found: dict[str, list[str]] = {}
    for unit in unit_table().values():
        for written in (unit.symbol, unit.ucum, unit.code):
            found.setdefault(written, []).append(unit.code)
    text = resources.files("journal.judge").joinpath("units_by_hand.txt").read_text(encoding="utf-8")
    for line in text.splitlines():
        if line.strip() and not line.startswith("#"):
            code, _, writings = line.partition(":")
            for written in writings.split():
                found.setdefault(written, []).append(code)
    return {written: tuple(dict.fromkeys(codes)) for written, codes in found.items()}
