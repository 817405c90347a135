"""Visit codes: a wrong symbol or a swapped pair never names another visit."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from journal.keep.codes import LETTERS, SHORTEST, SYMBOLS, is_code, looks_like_code, new_code, tidy_code

CODES = st.builds(lambda: new_code(lambda _: False)) | st.builds(
    lambda: new_code(lambda code: len(code) < SHORTEST + 3)
)


@given(CODES, st.data())
def test_every_single_wrong_symbol_is_seen(code: str, data: st.DataObject) -> None:
    place = data.draw(st.integers(0, len(code) - 1))
    wrong = data.draw(st.sampled_from([symbol for symbol in SYMBOLS if symbol != code[place]]))
    assert is_code(code)
    assert not is_code(code[:place] + wrong + code[place + 1 :])


@given(CODES, st.data())
def test_every_swapped_pair_is_seen(code: str, data: st.DataObject) -> None:
    place = data.draw(st.integers(0, len(code) - 2))
    swapped = code[:place] + code[place + 1] + code[place] + code[place + 2 :]
    assert is_code(swapped) == (swapped == code)


def test_codes_never_look_like_the_beginning_of_a_uuid() -> None:
    assert not set(LETTERS) & set("ABCDEF0123456789")
    assert not looks_like_code("0192f0c4")


def test_no_symbol_is_mistaken_for_another() -> None:
    assert len(SYMBOLS) == 13  # the check symbol needs a prime number of them
    for alike in ("0OQD", "1IL7T", "2Z", "5S", "8B", "UV", "BCDEGPTVZ", "AJK", "MN", "FSX", "IY", "QUW"):
        assert len(set(alike) & set(SYMBOLS)) <= 1, alike


def test_codes_are_taken_as_people_type_them() -> None:
    code = new_code(lambda _: False)
    assert tidy_code(f" {code[:3].lower()}-{code[3:]} ".strip()) == code


def test_when_short_codes_are_taken_they_grow() -> None:
    assert len(new_code(lambda code: len(code) == SHORTEST)) == SHORTEST + 1
