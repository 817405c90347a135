"""A store with one visit made of typed notes, without any speech."""

from __future__ import annotations

from pathlib import Path

import pytest

from journal.domain.speech import utterance_of
from journal.domain.visit import Equipment, Visit
from journal.keep import Store
from journal.pipeline import Frame, Rules, compose, understand
from tests.cli.running import run

LINES = (
    "customer says the freezer is warm",
    "run cap is stamped forty microfarads",
    "it reads thirty six point five",
    "common to run one point four ohms",
    "common to ground eleven and a half ohms",
    "the gate code is nine seven nine six",
    "replaced the start relay",
    "added two pounds of four forty eight a",
)
MACHINE = Equipment("walk-in freezer", serial="QX7704", use="freezer", refrigerant="R-448A")


def typed_visit(*lines: str, started: str = "2026-03-02T08:15:00+00:00") -> Visit:
    """A visit understood and judged from typed lines."""
    utterances = [utterance_of(line, index=index) for index, line in enumerate(lines)]
    understanding = understand(utterances, equipment=(MACHINE,), rules=Rules())
    frame = Frame("Freezer warm", "Ines Okafor", "Quillwort Bakery", started)
    return compose(frame, (), utterances, understanding)


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    folder = tmp_path_factory.mktemp("typed") / "store"
    with Store.open(folder) as store:
        return folder, store.add_visit(typed_visit(*LINES), {}).code


@pytest.fixture
def typed(made: tuple[Path, str], tmp_path: Path) -> tuple[Path, str]:
    """A copy of that store, so that each test begins with the same; and the visit's code."""
    target = tmp_path / "typed"
    assert run("backup", target, "--store", made[0]).code == 0
    return target, made[1]
