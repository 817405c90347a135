"""How likely a reading is wrong: what the learned weights say, and what follows from them."""

from __future__ import annotations

from decimal import Decimal

import pytest

from journal.domain.kind import Kind
from journal.domain.reading import Doubt, Reading, Role
from journal.interpret.standing import sureness

PLAIN = {
    "bias": 1.0,
    "read": 5.0,
    "role": 5.0,
    "role measured": 1.0,
    "place": 3.0,
    "likeliest place": 0.95,
    "words": 0.3,
}


def told(kind: float, bounds: float = 6.0, **more: float) -> float:
    """The share wrong of a measured reading whose kind and bounds have these logits."""
    said = more.get("unit said", 0.0)
    found = {**PLAIN, "kind": kind, "bounds": bounds, "kind where the unit was said": said * kind, **more}
    return sureness.share_wrong({**found, "weakest": min(kind, bounds, found["role"])})


def test_what_the_tagger_is_sure_of_is_hardly_wrong() -> None:
    assert told(7.0) < sureness.learned()["doubted_from"] < told(-1.0)


@pytest.mark.parametrize("kinds", [(6.0, 3.0), (3.0, 0.0), (0.0, -3.0)])
def test_the_less_likely_its_kind_the_likelier_it_is_wrong(kinds: tuple[float, float]) -> None:
    assert told(kinds[0]) < told(kinds[1])


@pytest.mark.parametrize("code", ["kind unsure", "unit inferred", "role unsure", "grouping"])
def test_a_doubt_of_the_rules_makes_it_likelier_to_be_wrong(code: str) -> None:
    assert told(3.0) < told(3.0, **{f"doubt {code}": 1.0})


def test_no_doubt_of_the_rules_speaks_for_a_reading() -> None:
    assert all(weight >= 0 for name, weight in sureness.learned().items() if name.startswith("doubt "))


def test_a_feature_that_was_never_learned_counts_nothing() -> None:
    assert told(3.0, **{"doubt of another day": 1.0}) == told(3.0)


def test_no_share_is_nought_or_one() -> None:
    """A share of exactly nought would make all others count for nothing."""
    assert -6 < sureness._logit(0.0) < -5
    assert 5 < sureness._logit(1.0) < 6


def test_features_name_role_doubts_and_what_was_said() -> None:
    class Tags:
        def roles(self, first: int, last: int) -> dict[str, float]:
            return {"measured": 0.75}

        def components(self, first: int, last: int) -> dict[str, float]:
            return {"suction": 0.5, "-": 0.5}

        def over(self, name: str, first: int, last: int) -> dict[str, float]:
            return {"taken back": 0.25}

    class Board:
        tags = Tags()
        pieces = tuple(range(20))

    reading = Reading(
        Kind.PRESSURE,
        Role.MEASURED,
        value=Decimal(62),
        unit="psi",
        component="suction",
        inferred=(("unit", "gauges"),),
        doubts=(Doubt("unit inferred", "so"),),
    )
    found = sureness.features(reading, Board(), 3, 4, {"pressure psi": 0.5, "none": 0.5}, 0.5)  # type: ignore[arg-type]
    assert (found["kind"], found["read"], found["bounds"], found["unit said"]) == (0.0, 0.0, 0.0, 0.0)
    assert found["role"] == pytest.approx(1.0986, abs=1e-4)  # ln 3
    assert (found["taken back"], found["words"], found["number words"]) == (0.25, 0.5, 2.0)
    assert found["doubt unit inferred"] == found["role measured"] == 1.0
