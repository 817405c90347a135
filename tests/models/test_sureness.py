"""Learning how likely readings are wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.interpret.phrase_tables import parse_table

pytest.importorskip("sklearn", reason="needs the extra [models]")

from models.recipe.tagger.sureness import Seen, fitted, seen_in, shares


def test_readings_are_compared_with_what_the_table_expects(tmp_path: Path) -> None:
    said = 'about = "x"\n[[phrase]]\nsaid = "suction pressure is sixty two psi"\nreadings = [{}]\n'
    right = '{ kind = "pressure", value = "62", unit = "psi", component = "suction" }'
    for table, wrong in ((said.format(right), False), (said.format(right.replace("62", "63")), True)):
        (phrase,) = parse_table(table, tmp_path / "some.toml")
        (seen,) = seen_in(phrase)
        assert seen.wrong is wrong
        assert seen.features["unit said"] == 1.0


def test_what_goes_with_wrong_readings_is_learned() -> None:
    seen = [
        Seen("t", {"bias": 1.0, "kind": float(n % 7 - 3), "rare": float(n == 3)}, n % 7 < 2, False) for n in range(140)
    ]
    weights = fitted(seen)
    assert weights["kind"] < 0
    assert "rare" not in weights
    told = shares(seen, weights)
    assert told[0] > 0.5 > told[6]
