"""The mixed trigram model: every history's probabilities sum to one, in the model and in the ARPA text."""

from __future__ import annotations

from collections import defaultdict

import pytest

from models.recipe.language import Mixture, Trigrams

WRITTEN = ["common to run one point four ohms", "common to start two ohms", "run to start is open"]
DRAWN = ["one point two volts", "two volts", "common to ground open", "one one one two"]
WORDS = sorted({word for line in [*WRITTEN, *DRAWN] for word in line.split()} | {"never"})


def model(lines: list[str], *, kneser_ney: bool, cutoffs: tuple[int, int, int] = (1, 1, 1)) -> Trigrams:
    counted = Trigrams(WORDS, unknown_every=10**9, seed=1, kneser_ney=kneser_ney)
    for line in lines:
        counted.add(line.split())
    counted.settle(cutoffs)
    return counted


@pytest.fixture(scope="module")
def mixture() -> Mixture:
    return Mixture([(0.7, model(WRITTEN, kneser_ney=True)), (0.3, model(DRAWN, kneser_ney=False, cutoffs=(1, 1, 2)))])


HISTORIES = [(), ("common",), ("common", "to"), ("<s>",), ("<s>", "one"), ("never", "seen"), ("one", "one")]


@pytest.mark.parametrize("history", HISTORIES)
def test_probabilities_after_a_history_sum_to_one(mixture: Mixture, history: tuple[str, ...]) -> None:
    ends = [*mixture.models[0][1].vocabulary, "</s>"]
    assert sum(mixture.chance((*history, end)) for end in ends) == pytest.approx(1)


def read_arpa(text: str) -> tuple[dict[tuple[str, ...], float], dict[tuple[str, ...], float]]:
    """Probabilities and back-off weights, by the format's definition (Stolcke, 'SRILM', ICSLP 2002)."""
    chances, backoffs = {}, defaultdict(lambda: 1.0)
    for line in text.splitlines():
        fields = line.split("\t")
        if len(fields) < 2:
            continue
        gram = tuple(fields[1].split())
        chances[gram] = 10 ** float(fields[0])
        if len(fields) > 2:
            backoffs[gram] = 10 ** float(fields[2])
    return chances, backoffs


@pytest.mark.parametrize("history", HISTORIES)
def test_the_arpa_text_sums_to_one_too_and_says_the_same(mixture: Mixture, history: tuple[str, ...]) -> None:
    chances, backoffs = read_arpa(mixture.arpa())

    def chance(gram: tuple[str, ...]) -> float:
        if gram in chances:
            return chances[gram]
        return backoffs[gram[:-1]] * chance(gram[1:])

    ends = [*mixture.models[0][1].vocabulary, "</s>"]
    assert sum(chance((*history, end)) for end in ends) == pytest.approx(1, abs=2e-3)
    for end in ends:
        if (*history, end) in chances:
            assert chance((*history, end)) == pytest.approx(mixture.chance((*history, end)), rel=1e-3)


def test_text_like_what_was_written_is_less_surprising(mixture: Mixture) -> None:
    near, far = ["common", "to", "start", "is", "open"], ["never", "ohms", "ground", "start", "volts"]
    assert mixture.perplexity([near]) < mixture.perplexity([far])


def test_a_uniform_guess_is_as_perplexing_as_there_are_words() -> None:
    alone = Mixture([(1.0, model([], kneser_ney=False))])
    assert alone.perplexity([["never"]]) == pytest.approx(len(WORDS) + 2)  # and the unknown word, and the end


def test_weights_that_do_not_sum_to_one_are_refused() -> None:
    with pytest.raises(ValueError, match="sum to one"):
        Mixture([(0.7, model(WRITTEN, kneser_ney=True))])
