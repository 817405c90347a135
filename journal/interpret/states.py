"""What a meter shows without a number: open, shorted, continuity, nothing, present."""

from __future__ import annotations

from dataclasses import dataclass

from journal.domain.kind import Kind
from journal.domain.reading import State
from journal.interpret.board import Board, Hit
from journal.interpret.runs import is_number_word
from journal.interpret.vocabulary import small_words, table


@dataclass(frozen=True, slots=True)
class Shown:
    """One state as said; ``electrical`` forms count only for electrical parts or between points."""

    state: State
    kind: Kind
    electrical: bool
    form: str


def claim_states(board: Board) -> None:
    """Claim the phrases of ``states.toml``."""
    for hit in board.found("states"):
        body = table("states")[hit.name]
        form = board.text(hit.first, hit.last)
        electrical = form in body["electrical"]
        kind = Kind(body.get("kinds", {}).get(form, body["kind"]))
        if form in body.get("not_with_yet", ()) and "yet" in {piece.text for piece in board.pieces[hit.last :]}:
            continue
        if electrical and (_is_command(board, hit) or _acts(board, hit) or _is_attribute(board, hit)):
            continue
        board.claim("state", hit.first, hit.last, Shown(State(hit.name), kind, electrical, form), f"shows {hit.name}")
    _claim_missing(board)


def _claim_missing(board: Board) -> None:
    """'no twenty four at the coil': the nominal voltage is absent."""
    volts = set(table("unsaid")["nominal_volts"])
    for claim in list(board.labelled("amount")):
        amount = claim.value
        before = claim.first - 1
        if board.word(before) != "no" or board.owner[before] is not None or amount.value not in volts:
            continue
        if amount.unit not in (None, "volt") or board.word(claim.last + 1) not in table("unsaid")["prepositions"]:
            continue
        if any(other.last < before for other in board.labelled("amount")):
            continue
        board.release(claim)
        board.claim(
            "state",
            before,
            claim.last,
            Shown(State.ABSENT, Kind.VOLTAGE, False, "no nominal voltage"),
            "nominal voltage is missing",
        )


def _is_attribute(board: Board, hit: Hit) -> bool:
    """'the closed contactor', 'thirty five percent open': no state of a meter."""
    behind = board.owner[hit.last + 1] if hit.last + 1 < len(board.pieces) else None
    before = board.owner[hit.first - 1] if hit.first else None
    article = hit.first > 0 and board.word(hit.first - 1) in ("the", "a", "each", "that", "this")
    named = behind is not None and behind.label == "component"
    return (article and named) or (before is not None and before.label == "amount" and before.value.unit == "percent")


def _acts(board: Board, hit: Hit) -> bool:
    """'and closed again at two ten': what a control did at the number behind, no state of a meter."""
    cue = board.starts("roles", hit.first)
    if _opens_and_closes(board, hit):
        return True
    return cue is not None and cue.name == "acted" and cue.last > hit.last


def _opens_and_closes(board: Board, hit: Hit) -> bool:
    """'four hundred open three hundred close': where a control opens and where it closes, each behind its number."""
    if board.word(hit.first) != "open" or hit.first == 0 or not is_number_word(board.pieces[hit.first - 1]):
        return False
    return any(
        board.word(at) in small_words("closes") and is_number_word(board.pieces[at - 1])
        for at in range(hit.last + 2, len(board.pieces))
    )


def _is_command(board: Board, hit: Hit) -> bool:
    """'open the valve', 'open till nine', 'opened at': a verb with its object, no state."""
    behind = board.word(hit.last + 1)
    words = table("clauses")
    owner = board.owner[hit.last + 1] if hit.last + 1 < len(board.pieces) else None
    if owner is not None and owner.label == "points":
        return False  # 'common to ground is open run to ground is open'
    number = board.pieces[hit.last + 2] if hit.last + 2 < len(board.pieces) else None
    acts = behind == "at" and number is not None and is_number_word(number)
    done_to_it = board.word(hit.last) == "opened" and behind in small_words("them")  # 'so i opened it up to forty'
    return acts or done_to_it or behind in words["no_state_before"] or (hit.first <= 1 and behind in words["objects"])
