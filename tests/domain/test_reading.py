"""The frozen types refuse what cannot be meant."""

from __future__ import annotations

import uuid
from decimal import Decimal

import pytest

from journal.domain.ids import new_id
from journal.domain.kind import Kind
from journal.domain.reading import Doubt, Evidence, Reading, State
from journal.domain.speech import Utterance, Word, utterance_of
from journal.domain.verdict import Authority, Limit, Outcome, Verdict
from journal.domain.visit import Correction


def volts(**changes: object) -> Reading:
    fields: dict[str, object] = {"kind": Kind.VOLTAGE, "value": Decimal("231"), "unit": "volt"}
    return Reading(**{**fields, **changes})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"value": Decimal("NaN")}, "finite"),
        ({"value": 231.0}, "finite"),
        ({"value": None}, "value, a range or a state"),
        ({"low": Decimal(1)}, "value, a range or a state"),
        ({"value": None, "low": Decimal(9), "high": Decimal(1)}, "upwards"),
        ({"state": State.OPEN}, "present"),
        ({"unit": "ohm"}, "does not measure"),
        ({"unit": "volts"}, "units.txt"),
        ({"unit": None}, "doubted"),
    ],
)
def test_a_reading_refuses(changes: dict[str, object], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        volts(**changes)


def test_what_a_reading_allows() -> None:
    assert volts(state=State.PRESENT, value=Decimal(24)).number is None
    assert volts().number == 231
    assert volts(value=None, high=Decimal(2)).number is None
    assert volts(unit=None, doubts=(Doubt("unit unsaid", "No unit was said."),)).needs_listening
    assert not volts(doubts=(Doubt("grouping", "Could be two numbers."),), withdrawn=True).needs_listening


def test_identity_and_evidence_do_not_count_for_equality() -> None:
    evidence = Evidence("r1", 0, 0, 3, 1.0, 2.0, "two thirty one volts")
    assert volts(id="a", evidence=evidence) == volts(id="b")
    assert volts() != volts(value=Decimal(232))


def test_words_run_forwards() -> None:
    with pytest.raises(ValueError, match="before it starts"):
        Word("volts", 2.0, 1.0)
    with pytest.raises(ValueError, match="out of order"):
        Utterance("r1", 0, (Word("two", 2.0, 2.5), Word("volts", 1.0, 1.5)))
    with pytest.raises(ValueError, match="white space"):
        Word("two volts")
    assert utterance_of("R-S 7.7Ω").text == "R-S 7.7Ω"


def test_a_verdict_is_undetermined_exactly_when_something_is_missing() -> None:
    with pytest.raises(ValueError, match="missing"):
        Verdict("x", 1, "X", Outcome.WITHIN, Authority.PHYSICS, "Fine.", missing=("L2 to L3",))
    with pytest.raises(ValueError, match="missing"):
        Verdict("x", 1, "X", Outcome.UNDETERMINED, Authority.PHYSICS, "Not known.")
    with pytest.raises(ValueError, match="source"):
        Limit(unit="volt", low=Decimal(1))
    with pytest.raises(ValueError, match="who and why"):
        Correction("r", "value", "1", "2", "", "2026-01-01T00:00:00+00:00", "")


def test_ids_are_version_7_and_sort_by_time() -> None:
    # RFC 9562 section 5.7: version 7, variant 10, first 48 bits are Unix milliseconds
    first, second = uuid.UUID(new_id()), uuid.UUID(new_id())
    assert first.version == 7
    assert first.variant == uuid.RFC_4122
    assert first.int >> 80 <= second.int >> 80
    assert first != second
