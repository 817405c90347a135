"""The words of the checks themselves: sentences for a customer, nothing condemned on practice, nothing called safe."""

from __future__ import annotations

import re

import pytest

from journal.judge import CHECKS
from journal.judge.check import Check
from journal.judge.formulas import standard_fuse_below

ALL = list(CHECKS.values())


@pytest.mark.parametrize("check", ALL, ids=lambda c: c.name)
def test_a_check_is_whole(check: Check) -> None:
    assert re.fullmatch(r"[a-z0-9-]+", check.name)
    assert check.title
    assert check.subject
    assert check.version >= 1
    assert check.needs
    for slot, need in check.needs.items():
        assert re.fullmatch(r"[a-z0-9 -]+", slot), slot
        assert need.ask
        assert not need.ask.endswith(".")


@pytest.mark.parametrize("check", ALL, ids=lambda c: c.name)
def test_no_meaning_condemns_and_none_says_safe(check: Check) -> None:
    """'Replace' stands in remedies only, which are added on nameplate, maker, standard or physics alone."""
    for text in (check.title, check.subject, *check.means.values()):
        assert "replace" not in text.lower()
        assert "condemn" not in text.lower()
    for text in (check.title, check.subject, *check.means.values(), *check.remedy.values()):
        assert "safe" not in text.lower().replace("fail-safe", "")


def test_names_are_told_apart() -> None:
    assert len({c.name for c in ALL}) == len(ALL) > 95
    assert len({c.title for c in ALL}) > 95


@pytest.mark.parametrize(("amps", "fuse"), [("95.7", 90), ("90", 90), ("89.9", 80), ("14.9", None)])
def test_standard_fuses(amps: str, fuse: int | None) -> None:
    """NEC 240.6 (from memory)."""
    from decimal import Decimal

    found = standard_fuse_below(Decimal(amps))
    assert found == fuse
