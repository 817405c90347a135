"""A store of its own for each test."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from journal.domain.visit import Visit
from journal.keep import Store
from tests.keep.visits import a_sound, a_visit


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "store"


@pytest.fixture
def store(folder: Path) -> Iterator[Store]:
    with Store.open(folder) as store:
        yield store


@pytest.fixture
def sound(tmp_path: Path) -> Path:
    return a_sound(tmp_path)


@pytest.fixture
def visit(store: Store, sound: Path) -> Visit:
    """The example visit, stored."""
    return store.add_visit(a_visit(), {"r1": sound})
