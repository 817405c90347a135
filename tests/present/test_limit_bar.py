"""The limit bar says at a glance what the numbers say."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from journal.present.limit_bar import Bar, bar_of
from journal.present.text_bar import ASCII, DRAWN, text_bar
from tests.builders import a_limit, a_verdict

numbers = st.decimals(min_value=-1000, max_value=1000, places=2)


def bar(value: str | Decimal, low: str | Decimal | None, high: str | Decimal | None, unit: str = "volt") -> Bar:
    limit = a_limit(None if low is None else str(low), None if high is None else str(high), unit)
    drawn = bar_of(a_verdict(value=str(value), unit=unit), limit)
    assert drawn is not None
    return drawn


@given(numbers, numbers, numbers)
def test_the_tick_stands_where_the_value_is(value: Decimal, low: Decimal, high: Decimal) -> None:
    assume(low < high)
    drawn = bar(value, low, high)
    assert 0 <= drawn.permitted[0] < drawn.permitted[1] <= 1
    assert 0 <= drawn.tick <= 1
    if low <= value <= high:
        assert drawn.permitted[0] - 1e-9 <= drawn.tick <= drawn.permitted[1] + 1e-9
    elif value < low:
        assert drawn.tick < drawn.permitted[0] or drawn.beyond == -1
    else:
        assert drawn.tick > drawn.permitted[1] or drawn.beyond == 1


@given(numbers, numbers, numbers)
def test_drawn_in_characters_the_tick_never_crosses_a_limit(value: Decimal, low: Decimal, high: Decimal) -> None:
    assume(high - low >= Decimal("0.05"))
    line = text_bar(bar(value, low, high)).plain.split("  ")[0]
    assert len(line) == 31
    thick = [i for i, cell in enumerate(line) if cell == DRAWN[2]]
    at = next(i for i, cell in enumerate(line) if cell in DRAWN[3:])
    if value < low:
        assert at < min(thick)
    elif value > high:
        assert at > max(thick)
    else:
        assert min(thick) - 1 <= at <= max(thick) + 1


def test_just_inside_and_far_outside_look_different() -> None:
    inside, outside = bar("252", "187.2", "253"), bar("40", "187.2", "253")
    assert inside.permitted[0] < inside.tick < inside.permitted[1]
    assert outside.beyond == -1
    assert outside.tick == 0


def test_an_open_side_is_permitted_to_the_end() -> None:
    assert bar("5", "2", None, "megaohm").permitted[1] == 1
    assert bar("5", None, "10", "percent").permitted[0] == 0


def test_units_are_reconciled() -> None:
    drawn = bar_of(a_verdict(value="11.5", unit="ohm"), a_limit("2", None, "megaohm"))
    assert drawn is not None
    assert drawn.tick < drawn.permitted[0]
    assert drawn.label == "11.5 Ω"
    assert drawn.low == "2 MΩ"


def test_the_marginal_span_lies_around_the_permitted_one() -> None:
    drawn = bar_of(
        a_verdict(value="43", unit="microfarad"),
        a_limit("37.6", "42.4", "microfarad", marginal_low="36", marginal_high="44"),
    )
    assert drawn is not None
    assert drawn.marginal[0] < drawn.permitted[0] < drawn.permitted[1] < drawn.tick < drawn.marginal[1]


@pytest.mark.parametrize(
    ("value", "unit", "limit"),
    [
        (None, None, a_limit("1", "2")),
        ("3", "volt", a_limit()),
        ("3", "ampere", a_limit("1", "2", "volt")),  # not the same quantity
    ],
)
def test_nothing_is_drawn_where_there_is_nothing_to_draw(value: str | None, unit: str | None, limit: object) -> None:
    assert bar_of(a_verdict(value=value, unit=unit), limit) is None  # type: ignore[arg-type]


def test_the_bar_is_told_in_words_and_in_ascii() -> None:
    drawn = bar("241", "187.2", "253")
    assert drawn.described == "241 V; permitted 187.2 V to 253 V"
    assert set(text_bar(drawn, ascii_only=True).plain.split("  ")[0]) <= set(ASCII)
