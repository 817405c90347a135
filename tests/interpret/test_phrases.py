"""Every phrase of the development tables yields what a careful colleague would have written down, and nothing else."""

from __future__ import annotations

import pytest

from journal.interpret import interpret
from tests.interpret.phrase_differences import differences
from tests.interpret.phrase_tables import Phrase, load


@pytest.mark.parametrize("phrase", load(), ids=lambda phrase: f"{phrase.table}: {phrase.text}")
def test_phrase(phrase: Phrase) -> None:
    assert not differences(phrase, interpret(phrase.utterances()))
