"""Says in words where an interpretation differs from what a phrase expects."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from journal.domain.reading import Reading
from journal.domain.visit import Finding, Interpretation, WorkDone
from tests.interpret.phrase_types import ExpectedFinding, ExpectedReading, ExpectedWork, Phrase

GAP = 2.0  # what leaving one reading unpaired costs; a pair that costs over two gaps is no pair
WEIGHTS = {"value": 2.5, "kind": 1.5, "withdrawn": 1.5, "points": 1.0, "unit": 0.7}
LIGHT = 0.3
ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
CARDINALS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
NUMBERS = {word: str(n) for words in (ORDINALS, CARDINALS) for n, word in enumerate(words, 1)}


def differences(phrase: Phrase, interpretation: Interpretation) -> list[str]:
    """Return every mismatch in words; an empty list when the whole sentence is right.

    Readings are compared in the order spoken, values as numbers; what the phrase leaves out is not compared.
    A withdrawn reading that the phrase does not list is passed over.
    """
    found: list[str] = []
    for expected, reading in align(phrase, interpretation):
        if expected is None and reading is not None:
            found.append(f"unexpected reading: {describe(reading)}")
        elif reading is None and expected is not None:
            found.append(f"missing reading: {describe(expected)}")
        elif expected is not None and reading is not None:
            found += [f"{describe(expected)}: {text}" for text in reading_differences(expected, reading).values()]
    if phrase.findings is not None:
        found += _sets("finding", phrase.findings, interpretation.findings, _finding_fits)
    if phrase.work is not None:
        found += _sets("work", phrase.work, interpretation.work, _work_fits)
    return found + _frame(phrase, interpretation)


def align(phrase: Phrase, interpretation: Interpretation) -> list[tuple[ExpectedReading | None, Reading | None]]:
    """Pair expected readings with the interpretation's, both in their order, at the least cost.

    Of an unpaired one the other side is ``None``.  Optional expectations that did not come out and withdrawn readings
    that nobody listed do not appear, so that counts can be taken straight from the pairs.
    """
    expected, readings = phrase.readings, interpretation.readings
    costs = _costs(expected, readings)
    pairs: list[tuple[ExpectedReading | None, Reading | None]] = []
    row, column = len(expected), len(readings)
    while row or column:
        here = costs[row][column]
        if row and column and here == costs[row - 1][column - 1] + _pair_cost(expected[row - 1], readings[column - 1]):
            row, column = row - 1, column - 1
            pairs.append((expected[row], readings[column]))
        elif row and here == costs[row - 1][column] + _missing_cost(expected[row - 1]):
            row -= 1
            if not expected[row].optional:
                pairs.append((expected[row], None))
        else:
            column -= 1
            if not readings[column].withdrawn:
                pairs.append((None, readings[column]))
    return pairs[::-1]


def _costs(expected: Sequence[ExpectedReading], readings: Sequence[Reading]) -> list[list[float]]:
    """Fill the table of least costs of pairing the first ``i`` expectations with the first ``j`` readings."""
    costs = [[0.0] * (len(readings) + 1) for _ in range(len(expected) + 1)]
    for row in range(len(expected) + 1):
        for column in range(len(readings) + 1):
            ways = [0.0] if row == column == 0 else []
            if row:
                ways.append(costs[row - 1][column] + _missing_cost(expected[row - 1]))
            if column:
                ways.append(costs[row][column - 1] + _unexpected_cost(readings[column - 1]))
            if row and column:
                ways.append(costs[row - 1][column - 1] + _pair_cost(expected[row - 1], readings[column - 1]))
            costs[row][column] = min(ways)
    return costs


def _missing_cost(expected: ExpectedReading) -> float:
    return 0.0 if expected.optional else GAP


def _unexpected_cost(reading: Reading) -> float:
    return 0.0 if reading.withdrawn else GAP


def _pair_cost(expected: ExpectedReading, reading: Reading) -> float:
    return sum(WEIGHTS.get(name, LIGHT) for name in reading_differences(expected, reading))


def reading_differences(expected: ExpectedReading, reading: Reading) -> dict[str, str]:
    """Return what is wrong with one reading, by field: ``value`` (also range and state), ``kind``, ``unit``..."""
    wrong: dict[str, str] = {}

    def check(name: str, should: object, found: object) -> None:
        if should is not None and should != found:
            wrong[name] = f"{name} is {_text(found)}, should be {_text(should)}"

    check("kind", expected.kind, reading.kind)
    if not same_amount(expected, reading):
        wrong["value"] = f"value is {_amount(reading)}, should be {_amount(expected)}"
    for name in ("unit", "role", "points", "component", "phase", "trend", "reference", "hedged", "withdrawn"):
        check(name, getattr(expected, name), getattr(reading, name))
    check("conditions", expected.conditions, frozenset(reading.conditions))
    if expected.held_for is not None and not _same_number(expected.held_for, reading.held_for):
        wrong["held_for"] = f"held for {_text(reading.held_for)} s, should be {_text(expected.held_for)} s"
    if expected.equipment is not None and same_name(expected.equipment) != same_name(reading.equipment or ""):
        wrong["equipment"] = f"equipment is {_text(reading.equipment)}, should be {expected.equipment}"
    if expected.doubted is not None and expected.doubted != bool(reading.doubts):
        wrong["doubts"] = "no doubt is raised" if expected.doubted else f"doubted: {reading.doubts[0].why}"
    kept = [alternative.value for alternative in reading.alternatives]
    missing = [value for value in expected.alternatives if not any(_same_number(value, k) for k in kept)]
    if missing:
        wrong["alternatives"] = f"alternatives lack {', '.join(_text(value) for value in missing)}"
    return wrong


def same_name(name: str) -> str:
    """Bring a machine's name to one form: 'the second condensing unit' and 'condensing unit 2' are the same."""
    words = [w for w in re.sub(r"[^a-z0-9]+", " ", name.lower()).split() if w not in ("the", "number", "no", "unit")]
    words = [NUMBERS.get(word, word) for word in words]
    return "".join([w for w in words if not w.isdigit()] + [w for w in words if w.isdigit()])


def same_amount(expected: ExpectedReading, reading: Reading) -> bool:
    return expected.state == reading.state and all(
        _same_number(getattr(expected, name), getattr(reading, name)) for name in ("value", "low", "high")
    )


def _same_number(should: Fraction | None, found: Decimal | None) -> bool:
    """Exactly equal; only a number that no decimal can hold (7/3) may differ, by half a per cent."""
    if should is None or found is None:
        return should is None and found is None
    rest = should.denominator
    for prime in (2, 5):
        while rest % prime == 0:
            rest //= prime
    return abs(Fraction(found) - should) <= (abs(should) / 200 if rest > 1 else 0)


def _finding_fits(expected: ExpectedFinding, found: Finding) -> bool:
    return (
        expected.what == found.what.lower()
        and expected.negated == found.negated
        and expected.component in (None, found.component)
    )


def _work_fits(expected: ExpectedWork, found: WorkDone) -> bool:
    return (
        expected.action == found.action.lower()
        and expected.done == found.done
        and expected.component in (None, found.component)
        and expected.unit in (None, found.unit)
        and (expected.amount is None or _same_number(expected.amount, found.amount))
    )


def _sets(name: str, expected: Sequence[object], found: Sequence[object], fits: object) -> list[str]:
    """Compare what has no order: every expectation takes the first one that fits."""
    left, lines = list(found), []
    for item in expected:
        match = next((other for other in left if fits(item, other)), None)  # type: ignore[operator]
        if match is None:
            lines.append(f"missing {name}: {_fields(item)}")
        else:
            left.remove(match)
    return lines + [f"unexpected {name}: {_fields(item)}" for item in left]


def _frame(phrase: Phrase, interpretation: Interpretation) -> list[str]:
    """Compare refrigerant, complaint and plate fields."""
    lines = []
    named = {machine.refrigerant for machine in interpretation.equipment if machine.refrigerant}
    should = set() if phrase.refrigerant == "none" else {phrase.refrigerant}
    if phrase.refrigerant is not None and named != should:
        lines.append(f"refrigerant is {', '.join(sorted(named)) or 'none'}, should be {phrase.refrigerant}")
    complaint = " ".join(note.text for note in interpretation.notes if note.topic == "complaint")
    if phrase.complaint is not None and phrase.complaint not in complaint.lower():
        lines.append(f"complaint is '{complaint}', should contain '{phrase.complaint}'")
    for name in ("model", "serial"):
        plate = getattr(phrase, name)
        machines = [
            m for m in interpretation.equipment if plate and _spelled(getattr(m, name) or "") == _spelled(plate)
        ]
        if plate is not None and not machines:
            lines.append(f"no machine has the {name} {plate}")
        elif plate is not None and not any(machine.doubts for machine in machines):
            lines.append(f"the {name} {plate} is not doubted, though it was spelled")
    return lines


def _spelled(plate: str) -> str:
    return re.sub(r"[^A-Z0-9]", "", plate.upper())


def describe(reading: ExpectedReading | Reading) -> str:
    """Return a reading in a few words: 'resistance 1.4 ohm common-run'."""
    parts = [reading.kind or "any kind", _amount(reading), reading.unit or "", reading.component or ""]
    parts += ["-".join(reading.points or ()), "" if reading.role == "measured" else str(reading.role or "")]
    return " ".join(part for part in [*parts, "(withdrawn)" if reading.withdrawn else ""] if part)


def _amount(reading: ExpectedReading | Reading) -> str:
    state = f"{reading.state} " if reading.state else ""
    if reading.low is not None or reading.high is not None:
        return f"{_text(reading.low, '')}..{_text(reading.high, '')}"
    return (state + _text(reading.value, "")).strip()


def _text(value: object, nothing: str = "none") -> str:
    if value is None:
        return nothing
    if isinstance(value, Fraction):
        return f"{float(value):.6g}"
    if isinstance(value, (tuple, frozenset)):
        return ", ".join(sorted(value) if isinstance(value, frozenset) else value) or nothing
    return str(value)


def _fields(item: object) -> str:
    names = ("what", "action", "component", "amount", "unit", "negated", "done")
    return ", ".join(f"{name} {_text(getattr(item, name))}" for name in names if getattr(item, name, None) is not None)
