"""Which line is meant where only 'line' was said: beside a saturation temperature, behind a side of the gauges."""

from __future__ import annotations

from journal.domain.kind import Kind
from journal.interpret.board import Board
from journal.interpret.context import Draft
from journal.interpret.numbers.runs import is_number_word
from journal.interpret.vocabulary import small_words, table


def claim_bare_line(board: Board) -> None:
    """'saturated suction twenty three, line thirty four', 'SST 36 °F, line 47 °F': the suction line."""
    for at in range(1, len(board.pieces) - 1):
        if board.word(at) != "line" or board.owner[at] is not None or board.starts("points", at) is not None:
            continue
        told = [hit for hit in board.hits.get("kinds", ()) if hit.last < at and hit.name == "saturation temperature"]
        if not told or not _number_told(board, at + 1):
            continue
        said = set(board.text(told[-1].first, told[-1].last).split())
        if said.isdisjoint(small_words("high_side")):
            board.claim("component", at, at, "suction line", "line beside a saturated suction temperature")


def _number_told(board: Board, at: int) -> bool:
    """A number follows, at once or behind a verb: 'line's at fifty one'."""
    filler = set(table("unsaid")["placing"])
    while at + 1 < len(board.pieces) and (board.owner[at] is not None or board.word(at) in filler):
        if board.owner[at] is not None and board.owner[at].label != "idiom":  # type: ignore[union-attr]
            return False
        at += 1
    return at < len(board.pieces) and is_number_word(board.pieces[at])


def line_after(component: str, last: Draft) -> str | None:
    """'liquid two ninety, saturated ninety eight, line temp eighty eight', 'condensing one ten, line's ninety'."""
    reading, meant = last.reading, table("components")[component].get("bare_after", {})
    if meant and reading.kind is Kind.SATURATION_TEMPERATURE and reading.evidence is not None:
        said = set(reading.evidence.said.replace("'", " ").split())
        if said & small_words("high_side"):
            return "liquid line"
    found: str | None = meant.get(reading.component)
    return found


def line_of_difference(board: Board, line: str | None) -> str | None:
    """'line's at fifty saturated's forty so ten of superheat': the suction line, whatever was read before it."""
    named = {hit.name for hit in board.hits.get("kinds", ())} & {"superheat", "subcooling"}
    lines = table("components")[line or ""].get("bare_with", {}) if line else {}
    return lines.get(named.pop()) if len(named) == 1 else None
