"""The limit that shares are given with, against published and closed-form values."""

from __future__ import annotations

import pytest

from tests.benchmarks.shares import at_most, shown


@pytest.mark.parametrize("of", [30, 100, 300, 1000])
def test_nothing_found_has_the_closed_form(of: int) -> None:
    """(1-p)^n = 0.05; about 3/n, the 'rule of three' (Hanley and Lippman-Hand, JAMA 249(13), 1983)."""
    assert at_most(0, of) == pytest.approx(1 - 0.05 ** (1 / of), abs=1e-9)
    assert at_most(0, of) == pytest.approx(3 / of, rel=0.06)


def test_two_sided_limits_of_a_textbook() -> None:
    """10 of 100: two-sided 95 % from 4.90 % to 17.62 % (Clopper-Pearson; value from memory)."""
    assert at_most(10, 100, sureness=0.975) == pytest.approx(0.1762, abs=1e-4)
    assert 1 - at_most(90, 100, sureness=0.975) == pytest.approx(0.0490, abs=1e-4)


def test_all_found_bounds_nothing_and_nothing_is_shown_as_such() -> None:
    assert at_most(5, 5) == 1.0
    assert shown(0, 0) == "-"
    assert shown(3, 250) == "3 of 250: 1.2 % (≤ 3.1 %)"
