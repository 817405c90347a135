"""The mixed trigram model: every history's probabilities sum to one, in the model and in the ARPA text."""

from __future__ import annotations

import math
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


Arpa = tuple[dict[tuple[str, ...], float], dict[tuple[str, ...], float]]


def read_arpa(text: str) -> Arpa:
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


def after(arpa: Arpa, gram: tuple[str, ...]) -> float:
    """Probability of the last word of ``gram``, backing off where it is not listed."""
    chances, backoffs = arpa
    return chances[gram] if gram in chances else backoffs[gram[:-1]] * after(arpa, gram[1:])


@pytest.mark.parametrize("history", HISTORIES)
def test_the_arpa_text_sums_to_one_too_and_says_the_same(mixture: Mixture, history: tuple[str, ...]) -> None:
    arpa = read_arpa(mixture.arpa())
    ends = [*mixture.models[0][1].vocabulary, "</s>"]
    assert sum(after(arpa, (*history, end)) for end in ends) == pytest.approx(1, abs=2e-3)
    for end in ends:
        if (*history, end) in arpa[0]:
            assert after(arpa, (*history, end)) == pytest.approx(mixture.chance((*history, end)), rel=1e-3)


LEAST = 0.01


@pytest.fixture(scope="module")
def whole_and_pruned(mixture: Mixture) -> tuple[Arpa, Arpa]:
    return read_arpa(mixture.arpa()), read_arpa(mixture.arpa(LEAST))


def test_only_trigrams_are_pruned_and_some_of_them(whole_and_pruned: tuple[Arpa, Arpa]) -> None:
    (whole, _), (pruned, _) = whole_and_pruned
    gone = set(whole) - set(pruned)
    assert gone
    assert set(pruned) < set(whole)
    assert {len(gram) for gram in gone} == {3}
    assert any(len(gram) == 3 for gram in pruned)
    assert all(whole[gram] == pruned[gram] for gram in pruned)


def test_what_is_pruned_the_back_off_tells_nearly_as_well(whole_and_pruned: tuple[Arpa, Arpa]) -> None:
    """A trigram's worth: how often it is said, times what its logarithm loses when it is gone."""
    whole, pruned = whole_and_pruned

    def worth(gram: tuple[str, ...]) -> float:
        start = 1.0 if gram[0] == "<s>" else whole[0][gram[:1]]
        lists = [g for g in whole[0] if len(g) == 3 and g[:2] == gram[:2]]
        weight = (1 - sum(whole[0][g] for g in lists)) / (1 - sum(after(whole, g[1:]) for g in lists))
        chance = whole[0][gram]
        return start * whole[0][gram[:2]] * chance * math.log(chance / (weight * after(whole, gram[1:])))

    for gram in (gram for gram in whole[0] if len(gram) == 3):
        if abs(worth(gram) - LEAST) > 1e-4:  # the text has five places
            assert (gram in pruned[0]) == (worth(gram) > LEAST), gram


@pytest.mark.parametrize("history", HISTORIES)
def test_the_pruned_text_still_sums_to_one(
    mixture: Mixture, whole_and_pruned: tuple[Arpa, Arpa], history: tuple[str, ...]
) -> None:
    ends = [*mixture.models[0][1].vocabulary, "</s>"]
    assert sum(after(whole_and_pruned[1], (*history, end)) for end in ends) == pytest.approx(1, abs=2e-3)


def test_without_a_bound_nothing_is_pruned(mixture: Mixture) -> None:
    assert mixture.arpa(0.0) == mixture.arpa()


def test_text_like_what_was_written_is_less_surprising(mixture: Mixture) -> None:
    near, far = ["common", "to", "start", "is", "open"], ["never", "ohms", "ground", "start", "volts"]
    assert mixture.perplexity([near]) < mixture.perplexity([far])


def test_a_uniform_guess_is_as_perplexing_as_there_are_words() -> None:
    alone = Mixture([(1.0, model([], kneser_ney=False))])
    assert alone.perplexity([["never"]]) == pytest.approx(len(WORDS) + 2)  # and the unknown word, and the end


def test_weights_that_do_not_sum_to_one_are_refused() -> None:
    with pytest.raises(ValueError, match="sum to one"):
        Mixture([(0.7, model(WRITTEN, kneser_ney=True))])
