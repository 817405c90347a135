"""What an utterance leaves for the next: a place without a number, a kind, a role, conditions."""

from __future__ import annotations

from journal.domain.kind import Kind
from journal.domain.reading import Role
from journal.interpret.board import Board, Claim
from journal.interpret.context import Context
from journal.interpret.idle.told import asks
from journal.interpret.places.points import Points
from journal.interpret.quantities.topics import topics_left
from journal.interpret.sentence import Sentence
from journal.interpret.standing.circumstances import conditions_of
from journal.interpret.standing.roles import stands_of
from journal.interpret.vocabulary import table

HEADING = 10  # words of one that only says what will be read, and where
THEN = 2  # words behind 'then' that may only lead on to the next utterance
SHORT = 6  # words of an utterance that only says how the machine runs
CONDITIONS_LAST = 120.0  # seconds that 'it's off now' holds for the readings behind it


def _put_right(board: Board, claim: Claim) -> bool:
    """The points only corrected the ones named before: 'scratch that i'm on start'."""
    single = len(claim.value.halves) == 1 and not claim.value.side
    return single and any(c.last < claim.first <= c.last + 4 for c in board.labelled("correction"))


def _read_here(sentence: Sentence, context: Context) -> bool:
    """Return whether this utterance gave a reading."""
    last = context.drafts[-1].reading.evidence if context.drafts else None
    utterance = sentence.board.utterance
    return last is not None and (last.recording, last.utterance) == (utterance.recording, utterance.index)


def _is_heading(board: Board, kind: Claim) -> bool:
    """'blower amps on the air handler in the attic': a kind that opens an utterance without a verb, and where."""
    owners = [board.owner[at] for at in range(kind.first)]
    opens = all(owner is not None and owner.label == "component" for owner in owners)
    clauses = table("clauses")
    verbs = {*table("unsaid")["verbs"]["forms"], *clauses["subjects"], *clauses["past_verbs"]} - {"at"}
    said = any(board.word(at) in verbs and board.owner[at] is None for at in range(kind.last + 1, len(board.pieces)))
    return opens and not said and len(board.pieces) <= HEADING


def _conditions(board: Board) -> tuple[str, ...]:
    """'it's off now': the machine's state; that of a short utterance holds for the readings behind it."""
    said = conditions_of(board, Claim("", len(board.pieces), len(board.pieces), None, ""))
    return tuple(name for name in said if name in table("conditions")["sticky"])


def carry_over(sentence: Sentence, context: Context) -> None:
    """Keep what was named and got no number yet: a place, a kind, a role; forget what was used."""
    board, items = sentence.board, sentence.items
    last_item = items[-1].last if items else -1
    bound = {id(b.claim) for b in sentence.points if b is not None}
    waiting = [
        claim
        for claim in board.labelled("points")
        if claim.first > last_item and id(claim) not in bound and not _put_right(board, claim)
    ]
    if waiting:
        context.points, context.points_at = waiting[-1].value, context.now
    elif _read_here(sentence, context):
        context.points = None
    kinds = [claim for claim in board.labelled("kind") if claim.first > last_item]
    brief = len(board.pieces) <= SHORT or (bool(kinds) and _is_heading(board, kinds[-1]))
    context.kind = Kind(kinds[-1].value) if kinds and not items and brief else None
    context.kind_at = context.now
    topics = topics_left(board)
    if topics:
        context.topic, context.topic_at = topics[-1].name, context.now
        if topics[-1].name == "gauges":
            context.gauges_at = context.now
    elif board.claims and any(claim.label in ("component", "points") for claim in board.claims):
        context.topic = None
    if any(claim.value.group for claim in board.labelled("points") if isinstance(claim.value, Points)) and not items:
        context.to_ground, context.points = True, None
    elif _read_here(sentence, context) and "ground" not in context.last_points:
        context.to_ground = False
    spoken_of = _conditions(board) if not items else ()
    if spoken_of:
        context.circumstance, context.circumstance_at = spoken_of[-1], context.now
    said = spoken_of if len(board.pieces) <= SHORT else ()
    if said:
        context.conditions, context.conditions_at = said, context.now
    elif context.now - context.conditions_at > CONDITIONS_LAST:
        context.conditions = ()
    context.asked = not items and asks(board)
    pending = stands_of(board, [Claim("end", len(board.pieces), len(board.pieces), None, "")]) if board.pieces else []
    context.role = context.withheld = None
    if pending and not items:
        opens = board.word(0) in table("clauses")["supposing"]
        opens = opens and not _is_complete(board)
        context.withheld = "supposed" if opens and pending[0].withheld == "supposed" else None
        if pending[0].said and pending[0].role is not Role.MEASURED and len(board.pieces) <= 8:
            context.role = pending[0].role


def _is_complete(board: Board) -> bool:
    """'if the pan holds ice then look at the drain heater': what follows from the supposition is told with it."""
    said = [piece.text for piece in board.pieces]
    return "then" in said and len(said) - said.index("then") > THEN
