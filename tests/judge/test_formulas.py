"""The worked examples that stand in the docstrings are run here."""

from __future__ import annotations

import doctest
from types import ModuleType

import pytest

from journal.judge import answers, formulas, leaks, numbers, records, surroundings


@pytest.mark.parametrize(
    ("module", "least"),
    [(formulas, 20), (numbers, 4), (answers, 2), (records, 7), (leaks, 1), (surroundings, 1)],
    ids=lambda m: getattr(m, "__name__", ""),
)
def test_docstrings(module: ModuleType, least: int) -> None:
    result = doctest.testmod(module)
    assert result.failed == 0
    assert result.attempted >= least


@pytest.mark.parametrize(
    ("percent", "factor"),
    [
        ("0", 1.0),
        ("0.5", 1.0),
        ("1.5", 0.97),
        ("2", 0.95),
        ("2.5", 0.93),
        ("3", 0.89),
        ("3.5", 0.85),
        ("4", 0.82),
        ("4.5", 0.78),
        ("5", 0.76),
        ("9", 0.76),
    ],
)
def test_derating_curve(percent: str, factor: float) -> None:
    """NEMA MG 1 figure 14-1 as printed by engineeringtoolbox.com d_648."""
    from decimal import Decimal

    assert float(formulas.derating(Decimal(percent))) == pytest.approx(factor)


@pytest.mark.parametrize(("percent", "published", "allowed"), [("3.5", 25, 0.6), ("5", 50, 0.1), ("3", 20, 2.1)])
def test_heat_of_unbalance(percent: str, published: float, allowed: float) -> None:
    """empoweringmotors.com: 3.5 % gives 25 %; pumpsandsystems.com: 3 % almost 20 %, 5 % gives 50 %."""
    from decimal import Decimal

    assert float(formulas.unbalance_heat(Decimal(percent))) == pytest.approx(published, abs=allowed)
