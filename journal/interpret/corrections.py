"""Words that take something back, at once or an utterance later.

Strong cues ('make that', 'scratch that') are claimed before anything else; weak ones ('no', 'sorry', 'actually') only
once numbers and places are known, since they count only right before one.
"""

from __future__ import annotations

from journal.interpret.board import Board, Claim, Hit, spans_of
from journal.interpret.numbers.amounts import unit_at
from journal.interpret.numbers.runs import is_number_word
from journal.interpret.restating import denies_a_part, is_only_talk
from journal.interpret.vocabulary import small_words, table

SAID_AGAIN = 2  # words from a kind put right to its number
ALONE, BEHIND = "alone", "behind"
SKIPPED = frozenset(table("corrections")["skipped"])


def claim_strong_corrections(board: Board) -> None:
    """Claim 'no wait', 'make that', 'scratch that'; never inside 'no voltage' and its like."""
    kept = _kept(board)
    for name in ("replace", "withdraw", "place"):
        board.hits[f"corrections {name}"] = [
            hit for hit in board.hits.get(f"corrections {name}", ()) if not _takes_a_digit(board, hit)
        ]
    _claim_called(board)
    for hit in board.found("corrections replace", "corrections withdraw", "corrections place"):
        if kept.isdisjoint(range(hit.first, hit.last + 1)):
            if hit.name == "withdraw" and _takes_back_a_thought(board, hit):
                continue
            if hit.name == "replace" and _worked_out(board, hit):
                continue
            if hit.name == "place" and not _was_something(board, hit):
                continue
            if hit.name == "replace" and is_only_talk(board, hit):
                continue
            value = "wrong place" if hit.name == "replace" and _was_wrong(board, hit) else hit.name
            board.claim("correction", hit.first, hit.last, value, f"takes back ({value})")


def _worked_out(board: Board, hit: Hit) -> bool:
    """'liquid line ninety one, i make that fourteen of subcooling': somebody reckons, and takes nothing back."""
    return board.word(hit.first) == "make" and board.word(hit.first - 1) in table("corrections")["reckoners"]


def _claim_called(board: Board) -> None:
    """'superheat's eleven call it twelve': between two numbers, the second is the one to write down."""
    for hit in board.found("corrections called"):
        unit = board.ends("units", hit.first - 1)
        at, behind = (unit.first if unit else hit.first) - 1, hit.last + 1
        ends = at >= 0 and behind < len(board.pieces)
        between = ends and is_number_word(board.pieces[at]) and is_number_word(board.pieces[behind])
        if between and not _of_something_else(board, at, behind):
            board.claim("correction", hit.first, hit.last, "replace", "takes back (called)")


def _of_something_else(board: Board, before: int, behind: int) -> bool:
    """'saturated's fifteen call it thirty of superheat': each number has a quantity of its own, so it only hedges."""
    while behind < len(board.pieces) and is_number_word(board.pieces[behind]):
        behind += 1
    own = board.starts("kinds", behind + (board.word(behind) == "of"))
    named = {hit.name for hit in board.hits.get("kinds", ()) if hit.last < before}
    return own is not None and bool(named) and own.name not in named


def opens_statement(board: Board, part: Claim) -> bool:
    """'oh wait the condenser coil is packed': something else is told, and no number of it."""
    verb = board.word(part.last + 1) in table("unsaid")["verbs"]["forms"]
    return verb and not any(claim.first > part.last for claim in board.labelled("amount", "state"))


def _takes_back_a_thought(board: Board, hit: Hit) -> bool:
    """'i figured the fuse was gone but it rings out so never mind that': the reading is what spoke against it."""
    words = [board.word(at) for at in range(hit.first)]
    return words[-1:] == ["so"] and "but" in words and any(word in table("corrections")["thoughts"] for word in words)


def _kept(board: Board) -> set[int]:
    """Tokens of phrases that only look like corrections; 'no one point four' is no such phrase."""
    return spans_of(hit for hit in board.hits.get("corrections keep", ()) if not _takes_a_digit(board, hit))


def _takes_a_digit(board: Board, hit: Hit) -> bool:
    """'scratch that one point three': the 'one' belongs to the number behind."""
    following = board.pieces[hit.last + 1] if hit.last + 1 < len(board.pieces) else None
    return following is not None and is_number_word(board.pieces[hit.last]) and is_number_word(following)


def _was_wrong(board: Board, hit: Hit) -> bool:
    """'hold on i had the fan side': what was said was of another place; its own value is not known."""
    if board.word(hit.last + 1) == "i" and board.word(hit.last + 2) == "had":
        return True
    said = board.text(hit.first, hit.last)
    return any(said.endswith(f" {words}") for words in small_words("was_another"))


def _was_something(board: Board, hit: Hit) -> bool:
    """'that was start': a place has to follow, and 'no' or an earlier utterance to precede."""
    at = hit.last + 1
    while board.word(at) in SKIPPED:
        at += 1
    follows = any(board.starts(context, at) for context in ("points", "sides", "components"))
    leads = hit.first == 0 or board.word(hit.first) in table("corrections")["leads"]
    return follows and leads


def _same_of_another_kind(board: Board, hit: Hit, at: int) -> bool:
    """'superheat twelve no subcooling twelve': the same number is said once more, of what it really is."""
    kind = board.starts("kinds", at)
    before = [claim for claim in board.labelled("amount") if claim.last < hit.first]
    after = next((claim for claim in board.labelled("amount") if claim.first > at), None)
    if kind is None or not before or after is None:
        return False
    same = before[-1].value.value == after.value.value is not None
    return same and before[-1].last == hit.first - 1 and after.first - kind.last <= SAID_AGAIN


def _claim_behind(board: Board) -> None:
    """'suction sixty eight seventy eight rather and ...': the word stands behind the number that replaces."""
    for hit in board.found("corrections behind"):
        owner = board.owner[hit.first - 1] if hit.first else None
        ends = hit.last + 1 == len(board.pieces) or board.word(hit.last + 1) in table("corrections")["behind_goes_on"]
        if ends and owner is not None and owner.label == "amount":
            board.claim("correction", hit.first, hit.last, BEHIND, "takes back (behind)")


def claim_weak_corrections(board: Board) -> None:
    """Claim 'no', 'sorry', 'wait', 'actually' where a number, a unit or a place follows at once and one precedes."""
    if board.text(0, len(board.pieces) - 1) in small_words("denials_alone"):
        board.claim("correction", 0, len(board.pieces) - 1, ALONE, "takes back (alone)")
        return
    kept = _kept(board)
    _claim_behind(board)
    for hit in board.found("corrections weak"):
        if not kept.isdisjoint(range(hit.first, hit.last + 1)):
            continue
        at = hit.last + 1
        while board.word(at) in SKIPPED:
            at += 1
        owner = board.owner[at] if at < len(board.pieces) else None
        something = owner is not None and owner.label in ("amount", "points", "component")
        something = something or _same_of_another_kind(board, hit, at)
        unit = board.starts("units", at) is not None and owner is None
        before = any(claim.label in ("amount", "state", "points") and claim.last < hit.first for claim in board.claims)
        if something and owner is not None and owner.label == "component" and opens_statement(board, owner):
            continue
        if owner is not None and denies_a_part(board, hit, owner):
            continue
        if (
            (something or unit)
            and (before or hit.first == 0)
            and (owner is None or owner.first == at or owner.label == "amount")
        ):
            board.claim("correction", hit.first, hit.last, "replace", "takes back (weak)")
    for claim in [claim for claim in board.labelled("correction") if claim.value != BEHIND]:
        at = claim.last + 1
        while board.word(at) in SKIPPED:
            at += 1
        right = unit_at(board, at, close=False)
        if right is not None and board.free(at, right[1]):
            board.claim("corrected unit", at, right[1], right[0], "unit put right")
