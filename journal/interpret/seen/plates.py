"""Model and serial numbers spelled aloud: 'model w c four two b as in boy' is WC42B, always doubted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from journal.interpret.board import Board
from journal.interpret.vocabulary import table

LEAST = 3  # signs a plate number has at least


@dataclass(frozen=True, slots=True)
class Plate:
    """One spelled plate field: ``field`` is 'model' or 'serial'."""

    field: str
    text: str


@cache
def _signs() -> dict[str, str]:
    numbers, plates = table("numbers"), table("plates")
    signs = {word: str(value) for name in ("zeros", "digits", "teens", "tens") for word, value in numbers[name].items()}
    spelled: dict[str, str] = plates["alphabet"] | plates["symbols"]
    return signs | spelled


def spelled_whole(words: Sequence[str]) -> str:
    """Return what words spell when they do nothing else ('a h u dash two' is AHU-2, 'b as in boy seven' B7)."""
    signs, text, at = _signs(), "", 0
    while at < len(words):
        letter = words[at].upper() if len(words[at]) == 1 and words[at].isalpha() else ""
        if not (sign := signs.get(words[at], letter)):
            return ""
        text += sign
        at += 4 if " ".join(words[at + 1 : at + 3]) == "as in" else 1
    return text if len(text) > 1 and not text.isdigit() else ""


def claim_plates(board: Board) -> None:
    """Claim 'model ...' and 'serial ...' with the signs spelled behind them."""
    for hit in board.found("plates model", "plates serial"):
        text, last = spelled(board, hit.last + 1)
        if len(text) >= LEAST and any(sign.isdigit() for sign in text) and board.free(hit.first, last):
            field = hit.context.split()[1]
            board.claim("plate", hit.first, last, Plate(field, text), "spelled plate number")


def _another_field(board: Board, at: int) -> bool:
    hits = [board.starts("plates model", at), board.starts("plates serial", at)]
    return any(hit is not None and (hit.last == at or board.word(at + 1) == "/") for hit in hits)


def spelled(board: Board, at: int) -> tuple[str, int]:
    """Return the signs spelled from a token on, and the last token of them."""
    data, signs = table("plates"), _signs()
    text, last, place = "", at - 1, at
    while place < len(board.pieces) and board.owner[place] is None:
        word, piece = board.word(place), board.pieces[place]
        if text and _another_field(board, place):
            break
        if word in table("numbers")["repeat"] and board.word(place + 1) in signs:
            text += signs[board.word(place + 1)] * table("numbers")["repeat"][word]
            last, place = place + 1, place + 2
        elif f"{word} {board.word(place + 1)}" in data["as_in"] or (word in data["as_in"] and text):
            place += 3 if board.word(place + 1) == "in" else 2
            last = place - 1
        elif word in signs:
            tens = table("numbers")["tens"]
            if word in tens and board.word(place + 1) in table("numbers")["digits"]:
                text += str(tens[word] + table("numbers")["digits"][board.word(place + 1)])
                last, place = place + 1, place + 2
            else:
                text, last, place = text + signs[word], place, place + 1
        elif piece.number is not None or (len(word) == 1 and word.isalnum()) or any(sign.isdigit() for sign in word):
            text, last, place = text + piece.raw.upper(), place, place + 1
        elif (
            word in data["fillers"]
            or (word in data["signs_before"] and not text)
            or (piece.raw.isupper() and piece.raw.isalpha() and len(word) <= 4)
        ):
            text += piece.raw if piece.raw.isupper() and word not in data["fillers"] else ""
            place += 1
        else:
            break
    return text.strip("-/"), min(last, len(board.pieces) - 1)
