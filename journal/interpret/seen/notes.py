"""Sentences for a field of the record, and hazardous work announced."""

from __future__ import annotations

from journal.domain.ids import new_id
from journal.domain.visit import Note
from journal.interpret.board import Board, Hit
from journal.interpret.evidence import words_from
from journal.interpret.vocabulary import table

MOST_WANTED = 3  # words from a verb of saying to what should be
MOST_WHERE = 4  # words for where somebody is: 'at the front desk'


def note_of(board: Board) -> tuple[Note, Hit, bool] | None:
    """Return the note an utterance holds, the phrase it begins with, and whether its numbers are withheld."""
    hits = [hit for hit in board.found("notes", free=False) if not _inside_amount(board, hit)]
    hits += _told_by(board)
    if not hits:
        return None
    hit = min(hits, key=lambda hit: (list(table("notes")).index(hit.name), hit.first))
    last = len(board.pieces) - 1
    evidence = words_from(board, hit.first, last)
    body = table("notes")[hit.name]
    return Note(hit.name, evidence.said, evidence, new_id()), hit, bool(body.get("withhold"))


def own_words(board: Board, note: Hit) -> int:
    """Where the speaker's own readings begin again: 'the clerk says it quit overnight and right now the box is at ...'.

    The end of the utterance when they do not.
    """
    resumed = [hit.first for hit in board.hits.get("own words", ()) if hit.first > note.last]
    resumed += [hit.first for hit in board.hits.get("roles", ()) if _wanted(board, note, hit)]
    return min(resumed, default=len(board.pieces))


def _wanted(board: Board, note: Hit, cue: Hit) -> bool:
    """'eighty two percent and the baker says it ought to be': what somebody wants of the value read before."""
    read = any(claim.last < note.first for claim in board.labelled("amount"))
    return read and cue.name == "expected" and 0 < cue.first - note.last <= MOST_WANTED


def _told_by(board: Board) -> list[Hit]:
    """'woman behind the counter says it quit': somebody, where they are, and a verb of saying."""
    words = table("notes")["complaint"]
    hits = []
    for first in (at for at, piece in enumerate(board.pieces) if piece.text in words["people"]):
        if board.word(first + 1) not in words["places"]:
            continue
        reach = range(first + 2, min(first + 3 + MOST_WHERE, len(board.pieces)))
        said = next((at for at in reach if board.word(at) in words["saying"]), None)
        where = {board.word(at) for at in range(first + 1, said or first + 1)}
        if said is not None and not where & set(words["not_there"]):
            hits.append(Hit("notes", "complaint", first, said))
    return hits


def _inside_amount(board: Board, hit: Hit) -> bool:
    owner = board.owner[hit.first]
    return owner is not None and owner.label in ("amount", "correction")


def steps_of(board: Board) -> tuple[str, ...]:
    """Return the topics of hazardous work that an utterance announces."""
    found: list[str] = []
    for topic in table("steps"):
        hits = board.hits.get(f"steps {topic}", ())
        never = board.hits.get(f"no steps {topic}", ())
        if any(not any(n.first <= hit.first and hit.last <= n.last for n in never) for hit in hits):
            found.append(topic)
    return tuple(found)
