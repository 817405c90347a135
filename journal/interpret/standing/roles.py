"""Where numbers stand: measured, printed, expected, set; or in a supposition, a memory, a denial, and then no readings.

A cue colours the numbers behind it until another cue, or until a new statement begins after a number was read under it.
Cues marked ``clause`` colour their whole clause, cues marked ``before`` also the number right before them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from journal.domain.reading import Role
from journal.interpret.board import Board, Claim
from journal.interpret.idle.told import is_shopping_list
from journal.interpret.numbers.amounts import degrees
from journal.interpret.places.places import lists_of
from journal.interpret.standing.clauses import clause_starts, whole_clause
from journal.interpret.standing.cues import (
    Cue,
    acts_itself,
    cues_of,
    goes_on_with,
    is_so,
    set_without_number,
    told_without_number,
)
from journal.interpret.standing.measured_again import (
    BRACKETED,
    PAST_REACH,
    aside_is_over,
    next_part,
    own_instrument,
    terminal_again,
)
from journal.interpret.standing.printed import (
    BESIDE_PLATE,
    chart_behind,
    heads_next,
    measured_ones,
    plate_behind,
    printed_of_before,
)
from journal.interpret.vocabulary import small_words, table

DEGREES = ("degF", "degC", degrees())
ORDINALS = frozenset(table("not_readings")["dates"]["ordinals"])
WITHHELD = ("supposed", "memory", "negated")


@dataclass(frozen=True, slots=True)
class Stand:
    """How one number stands: its role, or why it is no reading; ``condition`` such as 'locked rotor'."""

    role: Role = Role.MEASURED
    withheld: str | None = None
    said: bool = False
    acted: bool = False
    condition: str | None = None
    cue: str = ""


def stands_of(
    board: Board,
    items: Sequence[Claim],
    role: Role | None = None,
    withheld: str | None = None,
    asked: bool = False,
) -> list[Stand]:
    """Return how each item (amount or state, in order) stands; ``role`` and ``withheld`` come from the utterance
    before."""
    if is_shopping_list(board):
        return [Stand(withheld="supposed", said=True) for _ in items]
    cues = cues_of(board, items, asked)
    walls = clause_starts(board)
    stands: list[Stand] = []
    for place in range(len(items)):
        stands.append(_stand(board, items, place, cues, walls, role, withheld))
    return _spread(board, items, _reach_back(board, items, _opening_and_closing(board, items, stands)))


def _stand(
    board: Board,
    items: Sequence[Claim],
    place: int,
    cues: Sequence[Cue],
    walls: Sequence[int],
    role: Role | None,
    withheld: str | None,
) -> Stand:
    item = items[place]
    whole = whole_clause(board, cues, walls, items, place)
    if whole is not None:
        return Stand(withheld=whole.name, said=True, cue=whole.form)
    state = Stand(role or Role.MEASURED, withheld, said=role is not None)
    state_at, consumed = -1, 0
    for at in range(item.first):
        if _guess_is_over(board, at, state, state_at, consumed):
            state, consumed = Stand(said=True, cue="present"), 0
        for cue in (cue for cue in cues if cue.first == at):
            if is_so(board, cue, state.role, state_at, consumed):
                state = Stand()
            if state.role is Role.SETTING and consumed and acts_itself(board, cue):
                state = Stand()
            state = (
                state
                if goes_on_with(cue, state.role, state.cue, state_at, consumed)
                else _after_cue(state, cue, consumed)
            )
            state_at, consumed = cue.last, int(_said_behind(board, cue))
        if board.word(at) == ")" and "(" in {board.word(n) for n in range(state_at + 1 - BRACKETED, state_at + 1)}:
            state, consumed = Stand(), 0  # 'fan 2.1 A (tag 2.6), box 38': what is printed was told in brackets
        if board.word(at) == "." and consumed and state.role is Role.MEASURED and state.withheld is None:
            state, consumed = Stand(), 0  # 'cap 5 MFD, meas 4.1. Other cap 35 MFD': what was measured stands before
        if state.withheld == "negated" and at > state_at + 1 and board.word(at) in table("clauses")["restarts"]:
            state = Stand()  # 'no wait my probe wasn't on it's thirty one'
        walled = at in walls and at > max(0, state_at)
        if walled and (
            state.withheld == "negated" or (state.withheld and _ends_supposition(board, at, consumed, state))
        ):
            state = Stand()
        if state.withheld == "memory" and _is_present(board, at):
            state, consumed = Stand(said=True, cue="present"), 0
        if (
            state.role in (Role.SETTING, Role.EXPECTED, Role.NAMEPLATE)
            and consumed
            and (_new_statement(board, at, state) or (consumed == 1 and next_part(board, items, at, state_at)))
        ):
            state, consumed = Stand(), 0
        if state.role is Role.SETTING and not consumed and at > state_at and set_without_number(board, at, state.cue):
            state = Stand()
        if told_without_number(board, at, state.role, state.cue, state_at, consumed):
            state = Stand(condition=state.condition, said=True, cue="told")
        if consumed and aside_is_over(board, at, state_at):
            state, consumed = Stand(), 0
        if terminal_again(board, at, consumed, state.role):
            state, consumed = Stand(said=True, cue="terminal"), 0
        if state.withheld == "negated" and consumed:
            state, consumed = Stand(), 0
        if any(other.last == at for other in items[:place]):
            consumed += 1
    return state


def _said_behind(board: Board, cue: Cue) -> bool:
    """'eighty thousand in sixty four thousand out on the plate', 'a three degree differential and the box is': the cue
    was for the numbers before it."""
    hit = board.ends("roles behind", cue.last)
    if hit is None:
        return cue.name == "nameplate" and printed_of_before(board, cue.first, cue.last)
    if heads_next(board, hit.first):
        return False
    before = board.owner[cue.first - 1] if hit.first == cue.first and cue.first else None
    own = before is not None and before.label == "amount" and before.value.unit is not None
    return hit.first < cue.first or (own and _ends_statement(board, cue.last + 1))


def _ends_statement(board: Board, at: int) -> bool:
    """'... a three degree differential and the box is': a conjunction, and nothing that the cue could be for."""
    return board.word(at) in small_words("conjunctions") | {""}


def _after_cue(state: Stand, cue: Cue, consumed: int) -> Stand:
    if cue.name == "resumed":
        plainly = any(cue.form.endswith(form) for form in table("roles")["measured"]["forms"])
        plainly = plainly or cue.form.split()[-1] in table("clauses")["instruments"]  # 'and my clamp says'
        if state.withheld or plainly or (state.role is not Role.MEASURED and consumed):
            return Stand(said=True, cue=cue.form)
        return state
    if cue.name in WITHHELD:
        return Stand(state.role, cue.name, said=True, cue=cue.form)
    if state.withheld in ("supposed", "memory"):
        return (
            state
            if cue.name == "measured" or not consumed
            else Stand(Role(cue.name) if cue.name != "acted" else Role.MEASURED, said=True, cue=cue.form)
        )
    if cue.name == "acted" and state.role is Role.SETTING:
        return state
    if cue.name == "acted" and state.role is Role.EXPECTED and (not consumed or state.acted):
        return replace(state, acted=True)  # 'the book says cut out at ten cut in at thirty'
    if cue.name == "acted":
        return Stand(Role.MEASURED, said=True, acted=True, cue=cue.form)
    if cue.name == "measured":
        if cue.form in table("roles")["measured"]["faint"] and state.role is not Role.MEASURED and not consumed:
            return state
        return Stand(Role.MEASURED, said=True, condition=state.condition if not consumed else None, cue=cue.form)
    condition = table("roles")["nameplate"]["condition"].get(cue.form) if cue.name == "nameplate" else None
    return Stand(Role(cue.name), said=True, condition=condition, cue=cue.form)


def _ends_supposition(board: Board, at: int, consumed: int, state: Stand) -> bool:
    if state.withheld == "memory" and _still_past(board, at):
        return False
    if board.word(at) == "and" and state.cue in table("roles")["supposed"]["long"]:
        return False  # 'say your gauge reads one eighteen you go to the chart and that's forty'
    told = consumed > 0 or state.cue in small_words("of_any_time")
    return board.word(at) in table("clauses")["turns"] or (told and board.word(at) == "and")


def _guess_is_over(board: Board, at: int, state: Stand, state_at: int, consumed: int) -> bool:
    """'i bet the screen's plugged it's eighty eight in', 'air i bet because the head's at two ten': the guess was told,
    and what speaks for it was read; 'anything over twenty is starving it superheat's twenty eight': the limit was."""
    brief = state.withheld == "supposed" and state.cue in table("roles")["supposed"]["brief"]
    if brief and at > state_at and board.word(at) in table("roles")["supposed"]["reasons"]:
        return True
    owner = board.owner[at]
    named = owner is not None and owner.first == at and owner.label in ("component", "kind")
    if brief and consumed and named and owner and board.word(owner.last + 1) in table("unsaid")["verbs"]["forms"]:
        return True
    return brief and at > state_at + 1 and board.word(at) in small_words("present")


def _is_present(board: Board, at: int) -> bool:
    """'it was fifty yesterday it's forty two': a number was told of then, and the present tense begins."""
    told = any(claim.label in ("amount", "no reading") and claim.last < at for claim in board.claims)
    return told and board.word(at) in small_words("present") and board.word(at + 1) not in small_words("perfect")


def _still_past(board: Board, at: int) -> bool:
    """'... she took a pound and the head was up around three hundred': the statement behind 'and' is still of then."""
    words = table("clauses")
    if board.word(at) != "and":
        return False
    following = [board.word(place) for place in range(at + 1, at + 1 + PAST_REACH)]
    tenses = [word for word in following if word in words["past_verbs"] or word in table("unsaid")["verbs"]["forms"]]
    return bool(tenses) and tenses[0] in words["past_verbs"]


def _new_statement(board: Board, at: int, state: Stand) -> bool:
    """After a number was read under a cue, 'it's', 'i've got' or a part with a verb begins a measured statement."""
    if board.word(at) == "it" and board.word(at + 1) in table("clauses")["done_to_it"]:
        return False  # 'set to bring the fan on at two twenty and shut it off at one seventy'
    if board.word(at) in table("clauses")["resuming"]:
        return not (state.role is Role.NAMEPLATE and board.word(at + 1) in table("clauses")["printed_verbs"])
    if own_instrument(board, at):
        return True
    owner = board.owner[at]
    topic = board.starts("unsaid", at)
    told = topic is not None and owner is None and board.word(topic.last + 1) in table("clauses")["told_by"]
    if topic is not None and told and not table("unsaid")[topic.name].get("set"):
        return True  # 'set at seventy two the room's seventy eight', but not 'and the cool's at seventy six'
    if owner is not None and owner.first == at and owner.value == "pronoun" and board.word(at) in ORDINALS:
        return True  # 'supposed to be twenty one first one's twenty one point three'
    if owner is None and board.word(at) in ORDINALS and board.word(at + 1) in table("clauses")["told_by"]:
        return True
    if owner is None or owner.label not in ("component", "equipment", "points") or owner.first != at:
        return False
    follower = board.owner[owner.last + 1] if owner.last + 1 < len(board.pieces) else None
    if follower is not None and follower.label == "amount" and owner.label == "component":  # 'setpoint 34, box 47'
        place = bool(table("components")[owner.value].get("first"))
        return place and state.role is Role.SETTING and follower.value.unit in (None, *DEGREES)
    joined = board.word(at - 1) == "so"  # 'it wants four amps so leg one is three point nine'
    told = board.word(owner.last + 1) in table("unsaid")["verbs"]["forms"]
    apart = board.word(at - 1) == "then" and owner.label == "points"  # 'and then fan to c four point nine'
    return apart or (told and (owner.label != "points" or joined))


def _opening_and_closing(board: Board, items: Sequence[Claim], stands: list[Stand]) -> list[Stand]:
    """'four hundred open three hundred close': a control acts at both, each told behind its number."""
    behind = [board.word(item.last + 1) if item.label == "amount" else "" for item in items]
    if "open" not in behind or small_words("closes").isdisjoint(behind):
        return stands
    ends = {"open", *small_words("closes")}
    return [
        replace(stand, acted=True, said=True) if word in ends and not stand.said else stand
        for word, stand in zip(behind, stands, strict=True)
    ]


def _reach_back(board: Board, items: Sequence[Claim], stands: list[Stand]) -> list[Stand]:
    """'two thirty on the tag': the cue stands behind its number, with no number right behind the cue."""
    for place, item in enumerate(items):
        if item.label == "amount" and item.value.unit == "percent":
            continue  # 'ninety percent of rla'
        behind, end = item.last + 1, _end_of_statement(board, items, stands, place)
        if (
            stands[place].withheld is None
            and not stands[place].said
            and chart_behind(board, item, min(behind + 6, end))
        ):
            stands[place] = Stand(Role.EXPECTED, said=True, cue="chart")
            continue
        for lead in range(3):
            if (
                any(
                    plate_behind(board, at, item.last) and not heads_next(board, at)
                    for at in range(behind, min(behind + 6, end))
                )
                and stands[place].withheld is None
                and stands[place].role is not Role.SETTING
            ):
                stands[place] = Stand(Role.NAMEPLATE, said=True, condition=stands[place].condition, cue="printed")
                break
            hit = board.starts("roles behind", behind + lead)
            if hit is None or hit.name not in ("nameplate", "expected", "setting", "measured"):
                if board.word(behind + lead) not in table("unsaid")["links"] + table("unsaid")["prepositions"]:
                    break
                continue
            following = items[place + 1].first if place + 1 < len(items) else None
            if following is not None and following - hit.last <= 4 and hit.last - hit.first < 2:
                break
            if following is not None and (heads_next(board, hit.last + 1) or heads_next(board, hit.first)):
                break
            if stands[place].withheld is None:
                form = board.text(hit.first, hit.last)
                condition = table("roles")["nameplate"]["condition"].get(form)
                if hit.name == "nameplate":
                    condition = condition or stands[place].condition  # 'full load is six on the tag'
                stands[place] = Stand(Role(hit.name), said=True, condition=condition, cue=form)
            break
    for place in _read_of_rating(board, items, stands):
        stands[place] = replace(stands[place], role=Role.MEASURED, cue="rating read")
    for place in measured_ones(board, items):
        if stands[place].role is Role.NAMEPLATE:
            stands[place] = Stand(said=True, cue=BESIDE_PLATE)
    return stands


def _read_of_rating(board: Board, items: Sequence[Claim], stands: Sequence[Stand]) -> list[int]:
    """'locked rotor on it thirty one amps, plate says thirty four': a rating that the plate gives a second number for
    was read the first time."""
    data = table("roles")["nameplate"]
    found = []
    for place in range(len(items) - 1):
        this, then = stands[place], stands[place + 1]
        both = this.role is then.role is Role.NAMEPLATE and this.condition is not None
        if not both or then.condition not in (None, this.condition):
            continue
        between = [board.word(at) for at in range(items[place].last + 1, items[place + 1].first)]
        ahead = [board.word(at) for at in range(items[place].first)]
        if set(between) & set(data["nouns"]) and not set(ahead) & set(data["nouns"]):
            found.append(place)
    return found


def _end_of_statement(board: Board, items: Sequence[Claim], stands: Sequence[Stand], place: int) -> int:
    """The next number or clause ends what is said of this one; a bare count ('3ph') does not, unless it has a cue of
    its own ('subcool is eight supposed to be ten on the plate')."""
    ends = [wall for wall in clause_starts(board) if wall > items[place].last]
    ends += [other.first for other in items[place + 1 :] if other.label != "amount" or other.value.unit is not None]
    behind = zip(items[place + 1 :], stands[place + 1 :], strict=True)
    ends += [other.first for other, stand in behind if stand.said and stand.cue != stands[place].cue]
    return min(ends, default=len(board.pieces))


def _spread(board: Board, items: Sequence[Claim], stands: list[Stand]) -> list[Stand]:
    """A cue behind the last number of a list holds for the list."""
    lists = lists_of(board, items)
    for place in range(len(items) - 2, -1, -1):
        this, after = items[place], items[place + 1]
        if this.label != "amount" or after.label != "amount" or lists[place] != lists[place + 1]:
            continue
        if (
            not stands[place].said
            and stands[place + 1].said
            and stands[place + 1].cue
            and stands[place + 1].role is not Role.MEASURED
        ):
            stands[place] = stands[place + 1]
    return _so_says_the_plate(board, items, stands)


def _so_says_the_plate(board: Board, items: Sequence[Claim], stands: list[Stand]) -> list[Stand]:
    """'opens at four ten closes at three hundred so says the label': printed, every number before it."""
    forms = table("roles")["nameplate"]["of_all"]
    ends = [hit.first for hit in board.hits.get("roles behind", ()) if board.text(hit.first, hit.last) in forms]
    printed = Stand(Role.NAMEPLATE, said=True, cue="printed")
    return [
        printed
        if ends and item.last < ends[0] and stand.withheld is None and (stand.acted or not stand.said)
        else stand
        for item, stand in zip(items, stands, strict=True)
    ]
