"""Cues: words that say how the numbers behind them stand, and what else in the sentence makes them none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from journal.domain.reading import Role
from journal.interpret.board import Board, Claim, Hit
from journal.interpret.idle.told import answers
from journal.interpret.standing.papers import papers_saying, told_in_passing
from journal.interpret.standing.settings import moved_to
from journal.interpret.vocabulary import small_words, table


@dataclass(frozen=True, slots=True)
class Cue:
    first: int
    last: int
    name: str
    form: str


def cues_of(board: Board, items: Sequence[Claim], asked: bool = False) -> list[Cue]:
    inside = {place for item in items for place in range(item.first, item.last + 1)}
    counted = {place for item in items for place in range(_number_first(item), item.last + 1)}
    taken = {
        place
        for claim in board.claims
        if claim.label in ("correction", "points", "refrigerant", "plate", "equipment", "component", "idiom")
        for place in range(claim.first, claim.last + 1)
    }
    hits = [
        hit
        for context in ("roles resumed", "roles")
        for hit in board.hits.get(context, ())
        if (counted if hit.name == "supposed" else inside).isdisjoint(range(hit.first, hit.last + 1))
    ]
    hits = [
        hit
        for hit in hits
        if taken.isdisjoint(range(hit.first, hit.last + 1))
        and not _is_way_out(board, hit)
        and not _has_object(board, hit)
        and not _looked_up(board, hit)
        and not told_in_passing(board, hit)
        and not _supposes_nothing(board, hit)
    ]
    hits += [hit for hit in papers_saying(board) if inside.isdisjoint(range(hit.first, hit.last + 1))]
    hits += [
        Hit("roles", Role.SETTING.value, at, item.first - 1)
        for item in items
        if (at := moved_to(board, item.first)) is not None
    ]
    hits += [Hit("roles", Role.EXPECTED.value, at, at) for at in range(len(board.pieces)) if _wanted_to_be(board, at)]
    hits += [Hit("roles", "supposed", at, at + 1) for at in range(len(board.pieces) - 1) if _would_do(board, at)]
    hits.sort(key=lambda hit: (hit.first - hit.last, hit.first))
    chosen: list[Hit] = []
    used: set[int] = set()
    for hit in hits:
        span = set(range(hit.first, hit.last + 1))
        if used.isdisjoint(span):
            used |= span
            chosen.append(hit)
    cues = [Cue(hit.first, hit.last, hit.name, board.text(hit.first, hit.last)) for hit in chosen]
    return sorted(
        [*cues, *(Cue(first, last, "supposed", form) for first, last, form in answers(board, asked))],
        key=lambda cue: cue.first,
    )


def _wanted_to_be(board: Board, at: int) -> bool:
    """'design static is point five', 'the required superheat is fourteen'; 'bad design' says nothing of a number."""
    behind = board.owner[at + 1] if at + 1 < len(board.pieces) else None
    if board.word(at) not in table("roles")["expected"]["wanted_to_be"] or board.owner[at] is not None:
        return False
    before = board.owner[at - 1] if at else None
    opens = at == 0 or (before is not None and before.label == "amount")
    opens = opens or board.word(at - 1) in small_words("determiners") | small_words("conjunctions")
    return opens and behind is not None and behind.label in ("component", "kind")


def _number_first(item: Claim) -> int:
    """'anything over five hundred microns': the bound's word is part of the amount, and of the cue."""
    return item.value.number_first if item.label == "amount" else item.first


def acts_itself(board: Board, cue: Cue) -> bool:
    """'set to cut out at fifteen and it cut out at eight': what was set is told, and 'it' is seen to act."""
    words = cue.form.split()
    itself = words[0] in small_words("it") or board.word(cue.first - 1) in small_words("it")
    verb = words[1] if words[0] in small_words("it") else words[0]
    return cue.name == "acted" and itself and not verb.endswith("s")  # 'it cuts out at' may be what was set


def _would_do(board: Board, at: int) -> bool:
    """'he'd pull it to five hundred and drink his coffee': what somebody would do; 'he'd set it at forty' was done."""
    does = board.word(at + 1)
    done = does in small_words("participles") or does.endswith(tuple(small_words("done_endings")))
    free = board.owner[at] is None and board.owner[at + 1] is None
    return board.word(at) in small_words("somebody_would") and free and does.isalpha() and not done


def _is_way_out(board: Board, hit: Hit) -> bool:
    """'out of the drier' is a place; only 'out of' a number speaks of a rating."""
    if board.word(hit.first) != "out" or board.word(hit.first + 1) != "of":
        return False
    at = hit.last + 1 + (board.word(hit.last + 1) in small_words("before_ratings"))
    owner = board.owner[at] if at < len(board.pieces) else None
    return owner is None or owner.label != "amount"


def _has_object(board: Board, hit: Hit) -> bool:
    """'opened the valve half a turn': somebody did it, no control acted; 'i set my ladder up' sets no value."""
    behind = board.word(hit.last + 1)
    if hit.name == "setting" and board.word(hit.last) == "set":
        return behind in table("clauses")["nothing_set"]
    return hit.name == "acted" and behind in table("clauses")["objects_done_to"]


def _supposes_nothing(board: Board, hit: Hit) -> bool:
    """'the ones on either side are ninety six', 'turned it till it clicked', 'if i did my sums': both of them, what has
    happened, and how sure one is."""
    behind, said = board.word(hit.last + 1), board.text(hit.first, hit.last)
    if said == "either":
        return behind in small_words("either_of")
    if said == "if" and behind in small_words("of_reckoning"):
        return board.word(hit.last + 2) in small_words("reckoned")
    if hit.context == "roles resumed" and board.word(hit.first - 1) in table("clauses")["supposing"]:
        return True  # 'if my clamp says twelve'
    if hit.name == "supposed" and said.endswith(tuple(small_words("till_it"))):
        return behind in small_words("happened") or (behind.endswith("ed") and len(behind) > len("need"))
    return False


def _looked_up(board: Board, hit: Hit) -> bool:
    """'the saturation temperature on the chart is forty': where it was looked up, and no word of what should be."""
    chart = board.text(hit.first, hit.last) in table("roles")["expected"]["charts"]
    return chart and board.word(hit.first - 1) in small_words("looked_up")


def goes_on_with(cue: Cue, role: Role, form: str, state_at: int, consumed: int) -> bool:
    """'the plate on it calls for seven', 'it should be pulling ten': the second cue is the verb of the first one."""
    words = table("roles")
    if consumed:
        return False
    if role is Role.NAMEPLATE and cue.name == Role.EXPECTED:
        return cue.form in words["nameplate"]["verbs"]
    if role is Role.NAMEPLATE and cue.form in words["nameplate"]["reads"]:
        return any(form.endswith(noun) for noun in words["nameplate"]["nouns"])  # 'the plate on it reads fourteen'
    return role is Role.EXPECTED and cue.name == Role.MEASURED and cue.first == state_at + 1


def told_without_number(board: Board, at: int, role: Role, form: str, state_at: int, consumed: int) -> bool:
    """'the sheet wants amps so leg one is eleven', 'locked rotor it's fifty amps': the cue's statement is over before
    any number."""
    if consumed or at <= state_at:
        return False
    if role is Role.NAMEPLATE and form in table("roles")["nameplate"]["condition"]:
        behind = at - (board.word(at - 1) == "and")
        return behind == state_at + 1 and board.word(at) in (*small_words("present"), *table("clauses")["restarts"])
    if role is not Role.EXPECTED or at - 1 == state_at or board.owner[at - 1] is not None:
        return False
    if board.word(at - 1) != "so":
        return False
    owner = board.owner[at]
    return owner is not None and owner.first == at and owner.label in ("component", "points", "no reading")


def is_so(board: Board, cue: Cue, role: Role, state_at: int, consumed: int) -> bool:
    """'has to be hot and it is one twenty', 'should be closed but i read two ohms': what should be was told in words,
    and the cue opens what is."""
    opens = cue.name in ("resumed", Role.MEASURED.value)
    words = table("roles")["expected"]["and_so"]
    return (
        opens
        and role is Role.EXPECTED
        and not consumed
        and board.word(cue.first - 1) in words
        and (cue.first - 1 > state_at + 1)
    )


def set_without_number(board: Board, at: int, form: str) -> bool:
    """'set the fan on high and static went to point eight', 'set the damper and cfm is nine hundred': something was set
    without a value, and what is told behind 'and' was read."""
    owner = board.owner[at]
    if form not in table("roles")["setting"]["bare"] or owner is None or owner.first != at:
        return False
    before = at - 1 - (board.word(at - 1) in small_words("determiners") | small_words("component_articles"))
    joined = board.word(before) in small_words("conjunctions") | {"so"}
    told = {*table("unsaid")["verbs"]["forms"], *table("clauses")["past_verbs"]}
    read = owner.label == "component" and not table("components")[owner.value].get("role")
    return joined and (read or owner.label == "kind") and board.word(owner.last + 1) in told
