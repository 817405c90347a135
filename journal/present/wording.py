"""Amounts, places and doubts in the words people read; terminal and record use the same ones."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from unicodedata import category

from journal.domain.kind import Kind
from journal.domain.reading import Alternative, Phase, Reading, Role, State, Trend
from journal.domain.unit_table import symbol_of as _symbol_of
from journal.domain.unit_table import unit_table
from journal.domain.verdict import Authority, Limit, Outcome, Verdict

MINUS = "−"
#: checks whose share in per cent is told as a plain ratio
RATIOS = ("compression-ratio",)
_STATES = {State.SHORT: "shorted"}
_ROLES = {Role.MEASURED: "", Role.NAMEPLATE: "on the plate", Role.EXPECTED: "should be", Role.SETTING: "set to"}
_REFERENCES = {"absolute": "absolute", "vacuum": "of vacuum"}
_AUTHORITIES = {
    Authority.NAMEPLATE: "the nameplate",
    Authority.MAKER: "the maker's figures",
    Authority.STANDARD: "a standard",
    Authority.REGULATION: "a regulation",
    Authority.PHYSICS: "physics",
    Authority.COMPANY: "a rule of the company",
    Authority.PRACTICE: "common practice",
    Authority.MEMORY: "common practice, source not at hand",
}


def printable(text: str) -> str:
    """Return text without what steers a terminal, turns the direction of writing or is no character in HTML."""
    return "".join(
        c if c.isprintable() or c in "\n\t" or category(c) == "Zs" else "\N{REPLACEMENT CHARACTER}" for c in text
    )


def symbol_of(unit: str | None) -> str:
    """Return a unit's symbol; a difference of temperatures is told by its kind, so its unit is written plainly."""
    return _symbol_of(unit).replace("Δ", "")


def number_text(value: Decimal) -> str:
    """Return a decimal as it was said, without exponent, with a true minus sign."""
    return format(value, "f").replace("-", MINUS)


def measure_text(value: Decimal | None, unit: str | None) -> str:
    """Return a number with its unit; nothing for no number."""
    if value is None:
        return ""
    symbol = symbol_of(unit)
    return f"{number_text(value)}{'' if symbol == '%' else ' '}{symbol}".rstrip()


def in_ounces(value: Decimal | None, unit: str | None) -> str:
    """Return broken pounds as scales show them, ``7 lb 6 oz``, where the ounces come out whole; else nothing."""
    if value is None or unit != "pound" or value < 0 or value % 1 == 0 or (value * 16) % 1 != 0:
        return ""
    return f"{value // 1} lb {(value % 1 * 16).normalize():f} oz"


def rounded(value: Decimal) -> Decimal:
    """Return a computed value with the digits worth reading: up to two decimals stay, more are cut to three figures."""
    exponent = value.as_tuple().exponent
    if not isinstance(exponent, int) or exponent >= -2:
        return value
    return value.quantize(Decimal(1).scaleb(-max(1, min(2 - value.adjusted(), 6))))


def amount_text(reading: Reading) -> str:
    """Return what was read, as one phrase: ``24.30 V``, ``208 to 230 V``, ``more than 2 MΩ``, ``open``."""
    before, number, unit = amount_parts(reading)
    return f"{before} {number}{'' if unit == '%' else ' '}{unit}".strip()


def amount_parts(reading: Reading) -> tuple[str, str, str]:
    """Return the word before, the number or state, and the unit behind it, apart: the number is set large."""
    before = "about" if reading.hedged else ""
    if reading.state is State.ABSENT:
        return before, f"no {reading.kind.value}", ""
    if reading.state is not None:
        nominal = measure_text(reading.value, reading.unit)
        return before, _STATES.get(reading.state, reading.state.value), f"(nominal {nominal})" if nominal else ""
    if reading.value is not None:
        number = number_text(reading.value)
    elif reading.low is not None and reading.high is not None:
        number = f"{number_text(reading.low)} to {number_text(reading.high)}"
    elif reading.low is not None:
        before, number = f"{before} more than".strip(), number_text(reading.low)
    else:
        before, number = f"{before} less than".strip(), number_text(reading.high or Decimal(0))
    reference = _REFERENCES.get(reading.reference.value if reading.reference else "", "")
    if reading.unit in ("micron_Hg", "psia"):  # these count from nothing by themselves
        reference = ""
    return before, number, f"{symbol_of(reading.unit) or '(no unit heard)'} {reference}".strip()


def place_text(reading: Reading) -> str:
    """Return where it was read: component and measuring points."""
    points = " to ".join(reading.points)
    return ", ".join(part for part in (reading.component, points) if part)


def kind_text(reading: Reading) -> str:
    """Return the quantity where the unit does not tell it (superheat, a saturation temperature), and the role."""
    unit = unit_table().get(reading.unit or "")
    told = unit is not None and reading.kind is unit.kinds[0] and reading.kind is not Kind.TEMPERATURE_DIFFERENCE
    told = told or reading.state is State.ABSENT  # 'no voltage' names it already
    return ", ".join(part for part in ("" if told else reading.kind.value, _ROLES[reading.role]) if part)


def circumstances(reading: Reading) -> str:
    """Return what has to be known beside the number: conditions, movement, how long it held, what was not said."""
    parts = list(reading.conditions)
    if reading.trend is not None:
        parts.append({Trend.STEADY: "steady", Trend.MOVING: "still moving", Trend.HUNTING: "hunting"}[reading.trend])
    if reading.held_for is not None:
        parts.append(f"held {duration_text(reading.held_for)}")
    if reading.instrument:
        parts.append(f"by {reading.instrument}")
    if ounces := in_ounces(reading.number, reading.unit):
        parts.append(ounces)
    if reading.inferred:
        parts.append(f"not said: {', '.join(f'{what} (from {whence})' for what, whence in reading.inferred)}")
    return "; ".join(parts)


def remark(reading: Reading) -> str:
    """Return what has to be known beside a number in a series: as left, its conditions, whether it is doubted."""
    parts = [reading.phase.value if reading.phase is Phase.AS_LEFT else "", *reading.conditions]
    parts.append("needs listening" if reading.needs_listening else "")
    return ", ".join(part for part in parts if part)


def duration_text(seconds: Decimal) -> str:
    """Return seconds as people say them."""
    for size, name in ((86400, "d"), (3600, "h"), (60, "min")):
        if seconds >= size and seconds % size == 0:
            return f"{number_text(seconds // size)} {name}"
    return f"{number_text(seconds)} s"


def alternative_text(other: Alternative, reading: Reading) -> str:
    """Return another value the words may have meant, whole: what it does not say is as in the reading."""
    if other.state is not None:
        return _STATES.get(other.state, other.state.value)
    value = other.value if other.value is not None else reading.value
    text = measure_text(value, other.unit or reading.unit)
    kind = other.kind.value if other.kind is not None and other.kind is not reading.kind else ""
    return f"{text} {kind}".strip() or other.why


def clock(seconds: float) -> str:
    """Return a moment of a recording: ``1:04.3``, hours only when there are some."""
    tenths = round(seconds * 10)
    minutes, tenths = divmod(tenths, 600)
    hours, minutes = divmod(minutes, 60)
    rest = f"{tenths // 10:02d}.{tenths % 10}"
    return f"{hours}:{minutes:02d}:{rest}" if hours else f"{minutes}:{rest}"


def moment_text(moment: str | None) -> str:
    """Return a UTC moment as ``2 March 2026, 08:15 UTC``; text that is no moment comes back as it is."""
    if not moment:
        return ""
    try:
        when = dt.datetime.fromisoformat(moment).astimezone(dt.UTC)
    except ValueError:
        return moment
    return f"{when.day} {when:%B %Y, %H:%M} UTC"


def limit_text(limit: Limit, *, as_ratio: bool = False) -> str:
    """Return the permitted span in words: ``187.2 to 253 V``, ``at least 2 MΩ``, ``at most 10%``, ``2.5 to 4 : 1``."""
    span = _span_text(limit.low, limit.high, limit.unit, as_ratio)
    wider = _span_text(limit.marginal_low, limit.marginal_high, limit.unit, as_ratio)
    if span and wider and span != wider:
        return f"{span}, marginal {wider}"
    return span or (f"marginal {wider}" if wider else "")


def is_ratio(verdict: Verdict) -> bool:
    """Return whether a share in per cent is read as a plain ratio: nobody says 890 % of a compression ratio."""
    return verdict.check in RATIOS and verdict.unit == "percent"


def ratio_text(percent: Decimal) -> str:
    """Return a share in per cent as a ratio: ``8.9 : 1``."""
    return f"{number_text(_tidy(percent / 100))} : 1"


def verdict_value(verdict: Verdict) -> str:
    """Return what a verdict computed, with the digits worth reading; nothing for no value."""
    if verdict.value is None:
        return ""
    if is_ratio(verdict):
        return ratio_text(verdict.value)
    return measure_text(rounded(verdict.value), verdict.unit)


def bound_text(bound: Decimal | None, unit: str) -> str:
    """Return a bound with its unit: it was reckoned, not said, so zeros at its end tell nothing."""
    return "" if bound is None else measure_text(_tidy(bound), unit)


def _tidy(bound: Decimal) -> Decimal:
    plain = rounded(bound).normalize()
    return plain if plain.as_tuple().exponent <= 0 else plain.quantize(Decimal(1))  # type: ignore[operator]


def _span_text(low: Decimal | None, high: Decimal | None, unit: str, as_ratio: bool) -> str:
    def bound(value: Decimal) -> str:
        return ratio_text(value) if as_ratio else bound_text(value, unit)

    if low is not None and high is not None:
        return f"{number_text(_tidy(low / 100 if as_ratio else low))} to {bound(high)}"
    if low is not None:
        return f"at least {bound(low)}"
    return f"at most {bound(high)}" if high is not None else ""


def limit_source(limit: Limit) -> str:
    """Return on whose word a limit rests, and who changed it."""
    whose, source = _AUTHORITIES[limit.authority], limit.source
    if limit.authority is Authority.MEMORY and not source.lower().startswith("common practice"):
        whose = "memory, to be looked up"
    if source.lower().startswith("common practice") and whose.startswith("common practice"):
        source = source[len("common practice") :].lstrip(":,; ")  # said once is enough
    text = f"by {whose}: {source}" if source else f"by {whose}"
    if limit.applies_to:
        text += f"; for {limit.applies_to}"
    return f"{text}; changed by {limit.changed_by}" if limit.changed_by else text


def outcome_text(outcome: Outcome, authority: Authority, missing: tuple[str, ...] = ()) -> str:
    """Return the word people see; what only practice says is outside 'usual practice', not 'out of limits'."""
    if outcome is Outcome.UNDETERMINED and missing:
        return f"{outcome.words}: need {', '.join(missing)}"
    if outcome is Outcome.OUTSIDE and not authority.may_condemn and authority is not Authority.REGULATION:
        return {Authority.COMPANY: "outside the company's rule"}.get(authority, "outside usual practice")
    return outcome.words
