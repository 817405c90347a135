"""Clauses of an utterance, and the cues that colour a whole one: 'two hundred is what it would be'."""

from __future__ import annotations

from collections.abc import Sequence

from journal.interpret.board import Board, Claim
from journal.interpret.standing.cues import Cue
from journal.interpret.vocabulary import small_words, table

NOW_REACH = 6  # words back from a number to the verb that tells it


def clause_starts(board: Board) -> list[int]:
    """Return the tokens at which a new clause begins; 0 is always one."""
    words = table("clauses")
    starts = [0]
    for at in range(1, len(board.pieces)):
        owner, before = board.owner[at], board.owner[at - 1]
        stopped = board.word(at - 1) in words["stops"] and before is None
        strong = board.word(at) in words["strong"] and (owner is None or owner.label != "amount")
        joined = board.word(at) == "and" and owner is None and _opens_statement(board, at + 1)
        if stopped or strong or joined:
            starts.append(at)
    return starts


def _opens_statement(board: Board, at: int) -> bool:
    words = table("clauses")
    then = board.starts("roles", at) or board.starts("roles", at + 1)
    if board.word(at) in words["subjects"] or (then is not None and then.name == "memory"):
        return True  # 'it's down to thirty nine and the last time i left it at thirty four'
    if board.word(at) in small_words("openers"):
        at += 1
    owner = board.owner[at] if at < len(board.pieces) else None
    if owner is None or owner.label not in ("component", "points", "equipment"):
        return False
    verb = owner.last + 1
    verb += board.word(verb) in small_words("before_verbs")  # 'and the supply here is sitting at two oh six'
    return board.word(verb) in table("unsaid")["verbs"]["forms"] or board.word(verb) == "never"


def clause_of(walls: Sequence[int], at: int) -> int:
    """Return the number of the clause a token is in."""
    return sum(1 for wall in walls if wall <= at) - 1


def whole_clause(
    board: Board, cues: Sequence[Cue], walls: Sequence[int], items: Sequence[Claim], place: int
) -> Cue | None:
    """Return the cue that colours a number's whole clause and stands behind it."""
    item = items[place]
    own = clause_of(walls, item.first)
    for name in ("supposed", "memory"):
        forms = set(table("roles")[name]["clause"])
        for cue in cues:
            if cue.form == "if" and board.word(cue.first - 1) in table("clauses")["asking"]:
                continue  # 'set it to cut out at twelve and we'll see if the box holds'
            if cue.name == name and cue.form in forms and clause_of(walls, cue.first) == own and cue.first > item.last:
                between = [c for c in cues if c.name == "resumed" and item.last < c.first < cue.first]
                if _is_whether(board, cue):
                    continue
                if not between and not _own_statement(board, item, cue) and not _of_next(board, items, place, cue):
                    return cue
    return None


def _is_whether(board: Board, cue: Cue) -> bool:
    """'set to cut out at twelve and we'll see if the box holds': what is yet to be seen supposes nothing before it."""
    return cue.form == "if" and board.word(cue.first - 1) in table("clauses")["seeing"]


def _own_statement(board: Board, item: Claim, cue: Cue) -> bool:
    """The number's statement is over before the cue: something else begins in between ('... it'd be', '... and the
    suction never budged')."""
    if cue.first - item.last <= 2:
        return False
    for at in range(item.last + 1, cue.first):
        if board.word(at) in table("clauses")["subjects"]:
            return True
        owner = board.owner[at] if at < cue.first else None
        if owner is not None and owner.label == "component" and owner.last == cue.first - 1:
            return "and" in {board.word(n) for n in range(item.last + 1, owner.first)}
    return False


def _of_next(board: Board, items: Sequence[Claim], place: int, cue: Cue) -> bool:
    """The cue has a number of its own behind it, and this one is of now: 'it's forty, last year it was two hundred',
    'discharge two thirty one, never want over two twenty five'."""
    following = items[place + 1] if place + 1 < len(items) else None
    if following is None or following.label != "amount" or following.first < cue.last:
        return False
    tenses = [board.word(at) for at in range(items[place].first - 1, items[place].first - 1 - NOW_REACH, -1)]
    past, present = set(table("clauses")["past_verbs"]), set(table("clauses")["present_verbs"])
    verb = next((word for word in tenses if word in past | present), None)
    if cue.name == "memory":
        return verb in present
    return cue.form in table("roles")["supposed"]["of_next"] and verb not in past
