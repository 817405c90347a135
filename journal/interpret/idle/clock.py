"""Times of day as they are said: 'eight ten', 'a quarter past eight', 'two thirty in the afternoon'; typed as 8:10."""

from __future__ import annotations

import re
from typing import Any

from journal.interpret.board import Board
from journal.interpret.document import normal_form
from journal.interpret.numbers.number_words import small
from journal.interpret.numbers.runs import is_number_word
from journal.interpret.vocabulary import small_words, table

Clock = tuple[tuple[int, int], int]  # hour and minute, last token


def clock_at(board: Board, at: int) -> tuple[str, int] | None:
    """Return the time of day that begins at a token, as it is written, and its last token.

    Without 'a m' or 'p m' the hour stays as it was said, without a leading zero: nothing is made up.
    """
    data = table("facts")["clock"]
    found = _digits(board, at) or _past(board, at, data) or _hour_and_minutes(board, at, data)
    if found is None:
        return None
    (hour, minute), last = found
    for forms, hours in ((data["morning"], 0), (data["afternoon"], 12)):
        for form in forms:
            words = normal_form(form)
            if tuple(board.word(last + 1 + place) for place in range(len(words))) == words:
                return f"{hour % 12 + hours:02d}:{minute:02d}", last + len(words)
    return f"{hour}:{minute:02d}", last


def _digits(board: Board, at: int) -> Clock | None:
    """A typed '8:10', '08.10' or '0810'."""
    word = board.utterance.words[board.pieces[at].word].text if at < len(board.pieces) else ""
    match = re.fullmatch(r"(\d{1,2})[:.](\d{2})[.,;]?|(\d{2})(\d{2})", word)
    if match is None:
        return None
    hour, minute = int(match[1] or match[3]), int(match[2] or match[4])
    last = at
    while last + 1 < len(board.pieces) and board.pieces[last + 1].word == board.pieces[at].word:
        last += 1
    return ((hour, minute), last) if hour < 24 and minute < 60 else None


def _past(board: Board, at: int, data: dict[str, Any]) -> Clock | None:
    """'a quarter past eight', 'ten to eleven'."""
    at += board.word(at) in small_words("before_hours")
    words = [piece.text for piece in board.pieces]
    for table_name, sign in (("past", 1), ("to", -1)):
        for form, minutes in data[table_name].items():
            size = len(form.split())
            if board.text(at, at + size - 1) == form:
                for behind, hour in small(words, at + size):
                    if hour <= 12:
                        whole = hour * 60 + sign * minutes
                        return (whole // 60 or 12, whole % 60), behind - 1
    return None


def _hour_and_minutes(board: Board, at: int, data: dict[str, Any]) -> Clock | None:
    """'eight ten', 'eight oh five', 'eight o'clock', 'nine'."""
    at += board.word(at) == "about"
    words = [piece.text for piece in board.pieces]
    hours = [(behind, value) for behind, value in small(words, at) if value < 24 and value != 0]
    if not hours:
        return None
    behind, hour = min(hours)
    if board.word(behind) in data["hours"]:
        return (hour, 0), behind
    if board.word(behind) in table("numbers")["zeros"]:
        minutes = [(end, value) for end, value in small(words, behind + 1) if value < 10]
    else:
        minutes = [(end, value) for end, value in small(words, behind) if 10 <= value < 60]
    if minutes:
        end, minute = max(minutes)
        return (hour, minute), end - 1
    whole = behind >= len(words) or not is_number_word(board.pieces[behind])
    return ((hour, 0), behind - 1) if whole else None
