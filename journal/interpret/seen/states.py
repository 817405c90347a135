"""What a meter shows without a number: open, shorted, continuity, nothing, present."""

from __future__ import annotations

from dataclasses import dataclass

from journal.domain.kind import Kind
from journal.domain.reading import State
from journal.interpret.board import Board, Hit
from journal.interpret.numbers.runs import is_number_word
from journal.interpret.seen.idle_states import is_idle
from journal.interpret.seen.metered import by_a_meter, on_what
from journal.interpret.tagger.tags import NONE, SURE_READ
from journal.interpret.vocabulary import small_words, table

SHOWN_OF = {  # the kinds whose meter shows a state
    State.OPEN: (Kind.RESISTANCE,),
    State.SHORT: (Kind.RESISTANCE,),
    State.CONTINUITY: (Kind.RESISTANCE,),
    State.ABSENT: (Kind.VOLTAGE, Kind.CURRENT),
    State.PRESENT: (Kind.VOLTAGE,),
}
NUMBER_REACH = 6  # words from 'line voltage' to its number, its place between them


@dataclass(frozen=True, slots=True)
class Shown:
    """One state as said; ``electrical`` forms count only for electrical parts or between points."""

    state: State
    kind: Kind
    electrical: bool
    form: str
    told_otherwise: bool = False  # by the rules; only the tagger is sure of it


def claim_spelled_states(board: Board) -> None:
    """'o l to ground', 'i get o l too': the letters a meter shows, before 'l to' and 'l too' become a line."""
    for hit in board.found("states"):
        body = table("states")[hit.name]
        form = board.text(hit.first, hit.last)
        if form in body.get("spelled", ()):
            shown = Shown(State(hit.name), Kind(body["kind"]), False, form)
            board.claim("state", hit.first, hit.last, shown, f"shows {hit.name}")


def claim_states(board: Board) -> None:
    """Claim the phrases of ``states.toml``."""
    for hit in board.found("states"):
        body = table("states")[hit.name]
        form = board.text(hit.first, hit.last)
        electrical = form in body["electrical"]
        if electrical and by_a_meter(board, hit) and not _acts(board, hit):
            electrical = False
        told_otherwise = (
            (form in body.get("not_with_yet", ()) and "yet" in {piece.text for piece in board.pieces[hit.last :]})
            or (electrical and (_is_command(board, hit) or _acts(board, hit) or _is_attribute(board, hit)))
            or (electrical and _concludes(board, hit))
            or _worth_nothing(board, hit)
            or _sums_up(board, hit)
            or is_idle(board, hit)
        )
        if told_otherwise and not surely_shown(board, hit.first, hit.last, State(hit.name)):
            continue
        if _names_its_number(board, hit):
            board.claim("kind", hit.first, hit.last, Kind.VOLTAGE.value, "kind of quantity")
            continue
        kind = Kind(body.get("kinds", {}).get(form, body["kind"]))
        if hit.name == State.ABSENT and board.word(hit.first - 1) in table("unsaid")["draw"]["forms"]:
            kind = Kind.CURRENT  # 'the third one draws nothing at all'
        shown = Shown(State(hit.name), kind, electrical, form, told_otherwise)
        board.claim("state", hit.first, hit.last, shown, f"shows {hit.name}")
    _claim_missing(board)


def surely_shown(board: Board, first: int, last: int, state: State, least: float = SURE_READ) -> bool:
    """Whether the tagger is sure that a meter showed a state at some words, whatever the rules say."""
    kinds = board.tags.kinds(first, last)
    best = max(kinds, key=kinds.__getitem__, default=NONE)
    vague = board.text(first, last) in table("states")["absent"]["vague"]
    told = best in SHOWN_OF[state] or (vague and best == Kind.RESISTANCE)  # 'nothing' on a fuse: no tone
    return told and 1 - kinds[NONE] >= least


def _worth_nothing(board: Board, hit: Hit) -> bool:
    """'nothing to complain about': a verb behind it; 'nothing to ground' and 'nothing to the coil' have a place."""
    if board.word(hit.first) != "nothing" or board.word(hit.last + 1) != "to" or board.owner[hit.last + 1] is not None:
        return False
    at = hit.last + 2 + (board.word(hit.last + 2) in small_words("determiners"))
    return at >= len(board.pieces) or board.owner[at] is None


def _names_its_number(board: Board, hit: Hit) -> bool:
    """'line voltage on it four seventy eight': no state, the name of the quantity whose number follows."""
    if hit.name != State.PRESENT or board.text(hit.first, hit.last) not in table("states")[hit.name]["quantities"]:
        return False
    at, words = hit.last + 1, table("unsaid")
    while at < len(board.pieces) and at - hit.last <= NUMBER_REACH:
        owner = board.owner[at]
        if owner is not None and owner.label == "amount":
            return owner.value.unit in (None, "volt")
        between = board.word(at) in (*words["prepositions"], *words["value_links"], *small_words("determiners"), "it")
        named = owner is None and board.word(at - 1) in small_words("determiners")  # 'line voltage at the unit is'
        if not between and not named and (owner is None or owner.label not in ("component", "points", "equipment")):
            return False
        at = at + 1 if owner is None else owner.last + 1
    return False


def _sums_up(board: Board, hit: Hit) -> bool:
    """'one leg's two ohms so yeah it's grounded', 'so power's good': a conclusion from what was just read, no place."""
    at = hit.first - 1
    while board.owner[at] is None and board.word(at) in small_words("concluding"):
        at -= 1
    led = at >= 0 and board.owner[at] is None and board.word(at) == "so"
    read = any(claim.last < at for claim in board.labelled("amount", "state"))
    behind = board.owner[hit.last + 1] if hit.last + 1 < len(board.pieces) else None
    placed = behind is not None or board.word(hit.last + 1) in (*small_words("place_ties"), *small_words("point_ties"))
    return led and read and not placed


def _concludes(board: Board, hit: Hit) -> bool:
    """'secondary reads zero volts' ... 'so it never came out and the transformer is open': reasoned from what was
    read before, with no meter named and nothing else read."""
    volts = board.hints is not None and board.hints.unit in ("volt", "ampere")
    joined = any(board.word(at) in small_words("conjunctions") for at in range(1, hit.first))
    return board.word(0) == "so" and volts and joined and not board.has("kinds") and not board.has("groups")


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
    article = hit.first > 0 and board.word(hit.first - 1) in small_words("before_attributes")
    named = behind is not None and behind.label == "component"
    return (article and named) or (before is not None and before.label == "amount" and before.value.unit == "percent")


def _acts(board: Board, hit: Hit) -> bool:
    """'and closed again at two ten': what a control did at the number behind, no state of a meter."""
    cue = board.starts("roles", hit.first)
    if _opens_and_closes(board, hit) or _switched(board, hit):
        return True
    return cue is not None and cue.name == "acted" and cue.last > hit.last


def _switched(board: Board, hit: Hit) -> bool:
    """'disconnect closed', 'the overload opened': where a switch stands, or what it did; no meter was at it."""
    words = table("states")["continuity"]
    behind = board.owner[hit.last + 1] if hit.last + 1 < len(board.pieces) else None
    at = hit.first - 1
    while board.owner[at] is None and at > 0 and board.word(at) in small_words("stands"):
        at -= 1
    owner = board.owner[at] if at >= 0 else None
    ohmed = behind is not None and behind.label == "amount" and behind.value.unit == "ohm"
    switch = owner is not None and owner.label == "component" and owner.value in words["switches"]
    if switch and owner is not None and _left_so(board, owner.first):
        return True
    return switch and not ohmed and board.text(hit.first, hit.last) in words["switched"]


def _left_so(board: Board, part: int) -> bool:
    """'left the disconnect open': somebody put it so."""
    at = part - 1 - (board.word(part - 1) in small_words("determiners"))
    return board.word(at) in small_words("leaves_so")


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
    if on_what(board, hit):
        return False
    if owner is not None and owner.label == "points":
        return False  # 'common to ground is open run to ground is open'
    number = board.pieces[hit.last + 2] if hit.last + 2 < len(board.pieces) else None
    acts = behind == "at" and number is not None and is_number_word(number)
    done_to_it = board.word(hit.last) == "opened" and behind in small_words("them")  # 'so i opened it up to forty'
    return acts or done_to_it or behind in words["no_state_before"] or (hit.first <= 1 and behind in words["objects"])
