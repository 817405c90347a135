"""Words, their sounds, and sentences spelled for synthesizers."""

from __future__ import annotations

import pytest

from models.recipe import lexicon, texts

pytest.importorskip("pocketsphinx", reason="needs the extra [models]: the CMU dictionary")


def test_every_word_of_the_grammar_has_a_sound() -> None:
    words, missing = lexicon.build()
    grammar = texts.words_of(texts.parse_grammar(texts.GRAMMAR.read_text(encoding="utf-8")))
    assert not grammar & set(missing)
    assert len(words) > 4500
    assert {p for ways in words.values() for way in ways for p in way} <= set(lexicon.PHONES)


def test_plurals_and_possessives_sound_like_their_stem_and_an_ending() -> None:
    own, cmu = lexicon.own_dictionary(), lexicon.cmu_dictionary()
    assert lexicon.pronounce("contactor's", own, cmu)[0][-2:] == ("ER", "Z")
    assert lexicon.pronounce("strainers", own, cmu)[0][-2:] == ("ER", "Z")
    assert lexicon.pronounce("qzzxv", own, cmu) == []


def test_letters_are_told_from_the_article_and_spelled_for_synthesizers() -> None:
    voices = pytest.importorskip("models.recipe.voices", reason="needs the extra [models]")
    spelled = frozenset(["psi", "txv"])
    assert voices.readable(["phase", "a", "to", "phase", "b"], spelled) == "phase A to phase B"
    assert voices.readable(["a", "hundred", "psi", "at", "a", "valve"], spelled) == "a hundred P S I at a valve"
    assert voices.readable(["two", "txvs"], frozenset(["txv", "txvs"])) == "two T X V's"
