"""Words as tokens: one for each heard word, several for a typed one, the words' own count kept."""

from __future__ import annotations

from decimal import Decimal

import pytest

from journal.domain.speech import Word, utterance_of
from journal.interpret.document import pieces_of, split_word, worth_hearing_again


@pytest.mark.parametrize(
    ("written", "pieces"),
    [
        ("head's", ["head", "'s"]),
        ("it's", ["it's"]),
        ("twenty-six", ["twenty", "six"]),
        ("R-S", ["r", "-", "s"]),
        ("7.7Ω", ["7.7", "ω"]),
        ("118psi", ["118", "psi"]),
        ("145-175", ["145", "-", "175"]),
        ("-10°F", ["-", "10", "°f"]),
        ("120/240V", ["120", "/", "240", "v"]),
        ("1,050", ["1,050"]),
        ("L1-L2", ["l1", "-", "l2"]),
        ("R-410A", ["r-410a"]),
        ("0.5inH2O", ["0.5", "inh2o"]),
        ("[unk]", ["[unk]"]),
    ],
)
def test_written_words_fall_apart(written: str, pieces: list[str]) -> None:
    assert [text for text, _ in split_word(written)] == pieces


def test_spoken_words_stay_one_token_each() -> None:
    pieces = pieces_of(utterance_of("l one to l two two forty one volts"))
    assert [piece.word for piece in pieces] == list(range(9))


def test_pieces_remember_their_word() -> None:
    pieces = pieces_of(utterance_of("suction 118psi, head 250psi"))
    assert [(piece.text, piece.word) for piece in pieces] == [
        ("suction", 0), ("118", 1), ("psi", 1), (",", 1), ("head", 2), ("250", 3), ("psi", 3),
    ]  # fmt: skip
    assert pieces[1].number == Decimal(118)


def test_misheard_number_words_are_put_right_beside_numbers_only() -> None:
    assert pieces_of(utterance_of("won twenty volts"))[0].text == "one"
    assert pieces_of(utterance_of("they won it"))[1].text == "won"


@pytest.mark.parametrize(
    ("said", "confidence", "worth"),
    [("suction sixty two", 0.97, False), ("suction sixty two", 0.85, True), ("the coil is iced", 0.3, False)],
)
def test_only_an_unsure_number_is_worth_hearing_again(said: str, confidence: float, worth: bool) -> None:
    assert worth_hearing_again(Word(text, confidence=confidence) for text in said.split()) is worth
