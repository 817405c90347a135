"""Amounts counted by an article, or by none: 'held an hour', 'a quarter hour', 'hour and a half later'."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from journal.interpret.board import Board, Hit
from journal.interpret.numbers.amounts import Amount
from journal.interpret.numbers.around import weighed_right_before
from journal.interpret.numbers.number_words import words
from journal.interpret.numbers.runs import is_number_word
from journal.interpret.vocabulary import small_words, table

SMALLER = {"hour": "minute", "minute": "second", "pound": "ounce"}  # units an article counts, with the next smaller one


def counted_by_articles(board: Board) -> list[Amount]:
    """'an hour and a half', 'held an hour', 'a quarter hour': an article that counts one."""
    found = []
    for at in range(len(board.pieces) - 1):
        if _bare_one(board, at):
            found.append(_one_and_a_part(board, at))
        if board.word(at) not in small_words("one_of_time") or not board.free(at, at + 1):
            continue
        whole = board.word(at + 1) in small_words("whole_ones")  # 'a full minute'
        unit = board.starts("units", at + 1 + whole)
        counted = _counted_by_article(unit, board) if unit is not None else None
        if unit is None or counted is None or not board.free(at, unit.last):
            continue
        unit = replace(unit, name=counted)
        value, last = Decimal(1), unit.last
        if board.text(last + 1, last + 3) in small_words("and_a_part"):
            value += Decimal("0.5") if board.word(last + 3) == "half" else Decimal("0.25")
            last += 3
        elif not _counts_one(board, unit, at, whole=whole):
            continue
        if board.free(at, last):
            form = board.text(at + 1 + whole, unit.last)
            found.append(
                Amount(at, last, at, last, value=value, unit=unit.name, unit_form=form, run=-100 - at, form="article")
            )
    return found


def _bare_one(board: Board, at: int) -> bool:
    """'hour and a half later it's sixty three': one of them, its article left out at the beginning."""
    if board.word(at) not in small_words("whole_times") or not board.free(at, min(at + 3, len(board.pieces) - 1)):
        return False
    counted = at > 0 and (is_number_word(board.pieces[at - 1]) or board.word(at - 1) in small_words("determiners"))
    return board.text(at + 1, at + 3) in small_words("and_a_part") and not counted


def _one_and_a_part(board: Board, at: int) -> Amount:
    part = Decimal("0.5") if board.word(at + 3) == "half" else Decimal("0.25")
    form = board.word(at)
    return Amount(at, at + 3, at, at + 3, value=1 + part, unit=form, unit_form=form, run=-100 - at, form="article")


def _counted_by_article(unit: Hit, board: Board) -> str | None:
    """The unit an article may count one of; pounds share their form with the gauges."""
    name = "pound" if board.text(unit.first, unit.last) == "pound" else unit.name
    return name if name in SMALLER else None


def _counts_one(board: Board, unit: Hit, at: int, *, whole: bool) -> bool:
    """'a minute and fifty seconds', 'added a pound', 'held an hour': the article counts one, unlike 'a minute ago'."""
    if _goes_on_smaller(board, unit, unit.last + 1) or _goes_on_bare(board, unit, unit.last + 1):
        return True
    if unit.name == "pound" and weighed_right_before(board, at):
        return True
    return (unit.name == "hour" or whole) and _held(board, at)


def _held(board: Board, at: int) -> bool:
    """'held an hour', 'for the past hour'."""
    at -= 1
    at -= board.word(at) in small_words("lasting")
    return board.word(at) in table("not_readings")["held_words"]


def _goes_on_smaller(board: Board, unit: Hit, at: int) -> bool:
    """'a minute and fifty seconds', 'an hour and ten minutes': a number of the next smaller unit follows."""
    smaller = SMALLER[unit.name]
    at += board.word(at) == "and"
    if at >= len(board.pieces) or not is_number_word(board.pieces[at]):
        return False
    while at < len(board.pieces) and (is_number_word(board.pieces[at]) or board.word(at) == "and"):
        at += 1
    behind = board.starts("units", at)
    return behind is not None and behind.name == smaller


def _goes_on_bare(board: Board, unit: Hit, at: int) -> bool:
    """'a minute forty five': tens behind the article's unit, whose own unit was left out."""
    return unit.name in ("hour", "minute") and board.word(at) in (*words().tens, *words().teens, *words().zeros)
