"""Fixtures for what may be absent: speech of real people beside the checkout, a loaded model, a browser."""

from __future__ import annotations

import os

# The tagger's tables are small: several threads for each test process only wait for each other (minutes become ten).
os.environ.setdefault("OMP_NUM_THREADS", "1")

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from journal.hear.vosk_recogniser import VoskModel

SHARED = Path(__file__).resolve().parents[2] / "shared"

Require = Callable[[str, bool, str], None]


def require(name: str, available: bool, reason: str) -> None:
    """Skip the test unless ``available``; where ``JOURNAL_REQUIRE`` names it (``speech,browser,shared``), fail it."""
    if available:
        return
    if name in os.environ.get("JOURNAL_REQUIRE", "").replace(" ", "").split(","):
        pytest.fail(f"{name} is required here: {reason}")
    pytest.skip(reason)


@pytest.fixture(name="require", scope="session")
def require_fixture() -> Require:
    """``require`` for tests that find out by themselves what is there."""
    return require


@pytest.fixture(scope="session")
def shared_data() -> Path:
    """The folder of reference data beside the checkout."""
    require("shared", (SHARED / "data").is_dir(), "needs ../shared/data, which is not part of the project")
    return SHARED / "data"


@pytest.fixture(scope="session")
def speech_data() -> Path:
    """Speech of real people, for measuring only."""
    folder = SHARED / "data" / "speech"
    require("speech", folder.is_dir(), "needs ../shared/data/speech, which is not part of the project")
    return folder


@pytest.fixture(scope="session")
def speech_model() -> VoskModel:
    """The model the journal comes with, loaded once a process."""
    from journal.hear.vosk_recogniser import load

    return load()
