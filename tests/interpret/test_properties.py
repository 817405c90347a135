"""No input raises; no number words, no number; ids stay; live and batch agree."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from journal.domain.speech import Hypothesis, Utterance, Word, utterance_of
from journal.interpret import Narration, explain, interpret, spoken_forms
from journal.interpret.document import number_words, split_word
from journal.interpret.vocabulary import table
from tests.interpret.phrase_tables import load

FORMS = sorted({form for forms in spoken_forms().values() for form in forms})
NUMERIC = sorted(number_words())
BANDS = {*table("numbers")["decades"], *table("numbers")["signs"]}
SENTENCES = sorted({line for phrase in load() for line in phrase.said})
QUIET = settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def timed(text: str, index: int = 0) -> Utterance:
    words = tuple(
        Word(part, 5.0 * index + 0.3 * n, 5.0 * index + 0.3 * n + 0.25, 0.9) for n, part in enumerate(text.split())
    )
    return Utterance("r1", index, words)


vocabulary_sentence = st.lists(st.one_of(st.sampled_from(FORMS), st.sampled_from(NUMERIC)), max_size=12).map(" ".join)


@st.composite
def spliced(draw: st.DrawFn) -> str:
    left, right = draw(st.sampled_from(SENTENCES)).split(), draw(st.sampled_from(SENTENCES)).split()
    return " ".join(left[: draw(st.integers(0, len(left)))] + right[draw(st.integers(0, len(right))) :])


@QUIET
@given(st.lists(st.one_of(vocabulary_sentence, spliced()), max_size=4))
def test_no_words_raise(lines: list[str]) -> None:
    interpret([timed(line, index) for index, line in enumerate(lines)])


@pytest.mark.parametrize(
    "lines",
    [
        ["pulling the vacuum on an ohm run to common", "six pack out of the to twenty minutes"],
        ["drain heater number one m two p m and ten p m"],
        ["standing pressure machine off is one", "five the i on point and a half a drawing and five"],
    ],
)
def test_no_halves_of_two_sentences_raise(lines: list[str]) -> None:
    """Put together at random of halves of the tables' sentences; these once did raise."""
    interpret([timed(line, n) for n, line in enumerate(lines)])


@QUIET
@given(st.lists(st.text(max_size=40), max_size=3))
def test_no_characters_raise(lines: list[str]) -> None:
    interpret([utterance_of(line, index=index) for index, line in enumerate(lines)])


@QUIET
@given(st.text(alphabet="0123456789.,-/°'\"ΩµVAabRLC#%+½ ()~<>[unk]", max_size=40))
def test_no_typed_signs_raise(line: str) -> None:
    interpret([utterance_of(line)])


@QUIET
@given(spliced(), spliced())
def test_no_hypotheses_raise(said: str, other: str) -> None:
    heard = timed(said)
    rivals = (Hypothesis(timed(other).words, 1.0), Hypothesis((), 0.5))
    interpret([Utterance("r1", 0, heard.words, rivals)])


def has_number(text: str) -> bool:
    words = {piece for word in text.split() for piece, _ in split_word(word)}
    return any(ch.isdigit() for ch in text) or bool(words & (set(NUMERIC) | BANDS))


@QUIET
@given(st.lists(st.one_of(st.sampled_from(FORMS), st.sampled_from(SENTENCES)), max_size=6).map(" ".join))
def test_without_number_words_there_is_no_number(text: str) -> None:
    left_out = {"a", "an", *table("mishearings")["number"]}  # 'an hour' counts one; 'won' is heard for it
    plain = " ".join(word for word in text.split() if not has_number(word) and word not in left_out)
    for reading in interpret([timed(plain)]).readings:
        assert reading.value is None, plain
        assert reading.low is None, plain
        assert reading.high is None, plain


@QUIET
@given(st.lists(spliced(), min_size=1, max_size=4))
def test_live_and_batch_agree_and_ids_stay(lines: list[str]) -> None:
    utterances = [timed(line, index) for index, line in enumerate(lines)]
    narration = Narration()
    ids: list[str] = []
    for utterance in utterances:
        got = narration.accept(utterance)
        now = [reading.id for reading in got.readings]
        assert now[: len(ids)] == ids
        ids = now
    assert len(set(ids)) == len(ids)
    batch = interpret(utterances)
    assert narration.interpretation.readings == batch.readings


@QUIET
@given(st.lists(spliced(), min_size=1, max_size=3))
def test_evidence_lies_inside_its_utterance(lines: list[str]) -> None:
    utterances = [timed(line, index) for index, line in enumerate(lines)]
    for reading in interpret(utterances).readings:
        evidence = reading.evidence
        assert evidence is not None
        words = utterances[evidence.utterance].words[evidence.first : evidence.last + 1]
        assert evidence.said == " ".join(word.text for word in words)
        assert (evidence.start, evidence.confidence) == (words[0].start, 0.9)
    assert all(step.words for step in explain(utterances))
