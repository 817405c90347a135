"""How the tagger is learned: what its examples say, and that NumPy computes what was trained."""

from __future__ import annotations

import json
from pathlib import Path
from random import Random

import numpy as np
import pytest

from journal.interpret.tagger.tags import NONE
from models.recipe.tagger.examples import Target, examples
from tests.interpret.phrase_tables import parse_table


def targets(toml: str, tmp_path: Path) -> list[tuple[str, str | None, str | None, str | None]]:
    """(words, kind, role, component) of every target of a table's phrases."""
    phrases = parse_table(toml, tmp_path / "some.toml")
    found = [example for row, phrase in enumerate(phrases) for example in examples(phrase, row)]
    return [(" ".join(e.pieces[t.first : t.last + 1]), t.kind, t.role, t.component) for e in found for t in e.targets]


def test_numbers_of_a_narration_have_their_class(tmp_path: Path) -> None:
    table = """about = "x"
[[phrase]]
said = ["common to run one point four ohms", "breaker nineteen and suction is sixty two"]
readings = [
  { kind = "resistance", value = "1.4", unit = "ohm", points = ["common", "run"] },
  { kind = "pressure", value = "62", unit = "psi", component = "suction" },
]
"""
    found = targets(table, tmp_path)
    assert [(words, kind) for words, kind, _, _ in found] == [
        ("one point four", "resistance"),
        ("nineteen", NONE),
        ("sixty two", "pressure psi"),
    ]
    assert found[2][2:] == ("measured", "suction")


def test_a_table_overrules_what_was_read(tmp_path: Path) -> None:
    said = 'about = "x"\n[[phrase]]\nsaid = "suction is sixty two"\nreadings = [{}]\n'
    told = targets(said.format('{ kind = "temperature", value = "62", unit = "degF" }'), tmp_path)
    assert [(words, kind) for words, kind, _, _ in told] == [("sixty two", "temperature")]
    assert [kind for _, kind, _, _ in targets(said.format(""), tmp_path)] == [NONE]
    left_open = targets(said.format('{ kind = "pressure", value = "62", unit = "psi", optional = true }'), tmp_path)
    assert [kind for _, kind, _, _ in left_open] == [None]


def test_the_number_is_labelled_and_not_the_name_beside_it(tmp_path: Path) -> None:
    table = """about = "x"
[[phrase]]
said = "heater number two's thirty ohms"
readings = [{ kind = "resistance", value = "30", unit = "ohm", component = "heater" }]
"""
    found = targets(table, tmp_path)
    assert ("thirty", "resistance") in [(words, kind) for words, kind, _, _ in found]
    assert not any("two" in words and kind == "resistance" for words, kind, _, _ in found)


def test_pounds_and_ounces_are_two_numbers_and_a_state_is_its_own_words(tmp_path: Path) -> None:
    table = """about = "x"
[[phrase]]
said = "jug's at thirty one pounds four ounces"
readings = [{ kind = "mass", value = "31.25", unit = "pound", component = "cylinder" }]
[[phrase]]
said = "heater number two reads open"
readings = [{ kind = "resistance", state = "open", component = "heater" }]
"""
    phrases = parse_table(table, tmp_path / "some.toml")
    found = [target for row, phrase in enumerate(phrases) for e in examples(phrase, row) for target in e.targets]
    assert [(t.first, t.last, t.kind, t.starts) for t in found] == [
        (3, 6, "mass", (3, 6)),
        (2, 2, NONE, (2,)),
        (3, 4, "resistance", (3,)),
    ]


def test_no_number_is_labelled_idle_where_an_expected_value_was_not_found(tmp_path: Path) -> None:
    table = """about = "x"
[[phrase]]
said = "suction is sixty two and i am in room nineteen"
readings = [{ kind = "pressure", value = "31.4", unit = "psi", component = "suction" }]
"""
    assert NONE not in [kind for _, kind, _, _ in targets(table, tmp_path)]


def test_numpy_computes_what_was_trained() -> None:
    """The package's arithmetic against PyTorch's, an independent implementation, on the weights the package carries."""
    torch = pytest.importorskip("torch", reason="needs the extra [models]: torch")
    from journal.interpret.tagger.encoder import learned
    from journal.interpret.tagger.wordpieces import rows, vocabulary
    from models.recipe.tagger.network import Tagger

    encoder = learned()
    tagger = Tagger(len(vocabulary()), encoder.layers, encoder.outputs)
    tagger.go_on(encoder)
    tagger.eval()
    words = ["head", "is", "two", "forty", "and", "suction's", "about", "sixty", "eight"]
    pieces, parts, starts = rows(["gauges", "on"], words, vocabulary())
    ours = encoder(pieces, parts, starts)
    at = (torch.zeros(len(starts), dtype=torch.long), torch.tensor(starts))
    with torch.no_grad():
        theirs = tagger(torch.tensor([pieces]), torch.tensor([parts]), at)
    for name, scores in theirs.items():
        np.testing.assert_allclose(ours[name], scores.softmax(1).numpy(), atol=2e-5)


def test_wordings_are_varied_and_stay_of_one_build() -> None:
    pytest.importorskip("torch", reason="needs the extra [models]: torch")
    from models.recipe.tagger.learn import varied

    words = ["head", "two", "forty", "one", "over", "sixty", "eight"]
    drawn = {tuple(varied(words, Random(n))) for n in range(200)}
    assert len(drawn) > 50
    assert all(len(line) == len(words) for line in drawn)
    assert all(line[4] in ("over", "[UNK]") for line in drawn)


def test_a_row_labels_words_and_skips_what_is_open() -> None:
    pytest.importorskip("torch", reason="needs the extra [models]: torch")
    from models.recipe.tagger.learn import SKIPPED, outputs_of, row_of

    target = Target(1, 2, "pressure psi", "measured", "discharge", starts=(1,))
    open_ = Target(4, 4, None, starts=(4,))
    example = {
        "table": "x", "row": 0, "utterance": 0, "earlier": [], "pieces": ["head", "two", "forty", "and", "six"],
        "targets": [json.loads(json.dumps(vars(t))) for t in (target, open_)],
    }  # fmt: skip
    outputs = outputs_of([example] * 5)
    row = row_of(example, outputs)
    assert row.labels["kind"] == [0, 0, SKIPPED]
    assert row.labels["start"] == [1, 0, 1]
    assert row.labels["component"] == [0, 0, SKIPPED]


def test_near_distances_are_told_apart_and_far_ones_fall_together() -> None:
    """Buckets of distances after C. Raffel and others (2020), section 2.1: half of them for each direction, near
    distances one by one, then wider and wider ones up to 128, all beyond in one."""
    pytest.importorskip("torch", reason="needs the extra [models]: torch")
    from models.recipe.tagger.teacher import distances

    table = distances(200)
    assert table[0, :8].tolist() == [0, 17, 18, 19, 20, 21, 22, 23]
    assert table[:8, 0].tolist() == [0, 1, 2, 3, 4, 5, 6, 7]
    assert table[0, 8] == table[0, 11] == 24
    assert table[0, 12] == 25
    assert set(table[0, 128:].tolist()) == {31}
    assert set(table[128:, 0].tolist()) == {15}


def test_lines_without_labels_ask_about_their_numbers_and_teach_no_label() -> None:
    pytest.importorskip("torch", reason="needs the extra [models]: torch")
    from dataclasses import asdict

    from models.recipe.tagger.examples import unlabelled
    from models.recipe.tagger.learn import SKIPPED, row_of

    found = list(unlabelled(["hold on", "head is two forty", "suction's sixty eight"], "talk"))
    assert [(e.earlier[-4:], e.pieces) for e in found] == [
        (["hold", "on", ";"], ["head", "is", "two", "forty"]),
        (["is", "two", "forty", ";"], ["suction", "'s", "sixty", "eight"]),
    ]
    row = row_of(asdict(found[0]), {"kind": [NONE], "component": ["-"], "start": ["goes on", "starts"]})
    assert len(row.at) == 2
    assert {label for labels in row.labels.values() for label in labels} == {SKIPPED}


def test_what_teachers_tell_is_learned_best_when_held_alike() -> None:
    torch = pytest.importorskip("torch", reason="needs the extra [models]: torch")
    from models.recipe.tagger.learn import SKIPPED, loss_of

    told, none = torch.tensor([[0.7, 0.2, 0.1]]), {"kind": torch.tensor([SKIPPED])}
    alike = loss_of({"kind": told.log()}, none, {"kind": told}, {}, 0.0)
    other = loss_of({"kind": torch.tensor([[0.9, 0.05, 0.05]]).log()}, none, {"kind": told}, {}, 0.0)
    assert alike < other
    assert float(alike) == pytest.approx(0.7 * -(told * told.log()).sum())
    labelled = {"kind": torch.tensor([0])}
    assert float(loss_of({"kind": told.log()}, labelled, {}, {}, 0.0)) == pytest.approx(-float(torch.tensor(0.7).log()))
