"""Applying corrections to the readings before them."""

from __future__ import annotations

from dataclasses import replace

from journal.domain.kind import Kind
from journal.domain.reading import Doubt, Reading, Role
from journal.domain.unit_table import can_measure, unit_table
from journal.interpret.board import Board, Claim
from journal.interpret.context import CORRECTION_LASTS, Context, Draft
from journal.interpret.corrections import ALONE, BEHIND, SKIPPED, opens_statement
from journal.interpret.places.points import Points, settle
from journal.interpret.sentence import Sentence
from journal.interpret.vocabulary import table

SURELY_TAKEN_BACK = 0.95  # share of the tagger from which on a number is, without a cue


def apply_cue(context: Context, cue: Claim, board: Board) -> None:
    """Do what a correction says, or remember it until what replaces the reading is said."""
    if cue.value == BEHIND:
        _replaced_by_last(context, board)
        return
    target = _target(context, cue, board)
    following = _following(board, cue)
    if cue.value == "wrong place" and target is not None:
        _replace(context, target, replace(target.reading, withdrawn=True))
        context.inherit = target
        return
    if following is not None and following.label == "points" and not _number_behind(board, following):
        _amend_points(context, target, following, board)
        return
    part = following if following is not None and following.label == "component" else None
    told_on = part is not None and opens_statement(board, part)
    if told_on and cue.value == "replace":
        return  # 'suction sixty hang on the sight glass is bubbling': something else was seen
    if (
        following is not None
        and following.label == "component"
        and not _number_behind(board, following)
        and target is not None
        and not told_on  # 'forget that the sensor's loose': why it is taken back
    ):
        _replace(context, target, replace(target.reading, component=following.value))
        return
    unit = _unit_behind(board, cue)
    if unit is not None and target is not None and cue.value != "withdraw" and _restated(board, cue, target):
        _replace(context, target, replace(target.reading, withdrawn=True))
        context.inherit = target
        return
    if unit is not None and target is not None and cue.value != "withdraw":
        _amend_unit(context, target, unit)
        return
    if cue.value == "withdraw":
        if target is not None:
            _replace(context, target, replace(target.reading, withdrawn=True))
            context.inherit = target
        return
    if cue.value == "replace" and target is not None:
        paused = board.text(cue.first, cue.last) in table("corrections")["pauses"]
        context.inherit, context.correction = target, "pause" if paused else "replace"
    if cue.value == ALONE and target is not None:
        context.inherit, context.correction = target, ALONE


def only_pauses(sentence: Sentence, cue: Claim) -> bool:
    """'start to run hang on four point two': the place has no number yet; or the number behind is of another part."""
    board = sentence.board
    if board.text(cue.first, cue.last) not in table("corrections")["pauses"]:
        return False
    place = next((n for n, item in enumerate(sentence.items) if item.first > cue.last), None)
    if place is None:
        return False
    after = sentence.items[place - 1].last if place else -1
    earlier = sentence.points[place - 1] if place else None
    unread = [c for c in board.labelled("points") if after < c.first < cue.first]
    if any(earlier is None or c is not earlier.claim for c in unread):
        return True
    part = sentence.components[place]
    if part is None or part.how != "before" or (place and _said_again(*sentence.items[place - 1 : place + 1])):
        return False
    mine = sentence.components[place - 1] if place else None
    if mine is not None and mine.how == "before" and part.claim.first > cue.last:
        return bool(mine.claim.value != part.claim.value)  # 'suction's at fifty eight hold on head's two twenty'
    return after < part.claim.first < cue.first


def _said_again(before: Claim, item: Claim) -> bool:
    """'head's two fifty oops suction's two fifty': the same number at another place puts the place right."""
    both = before.label == "amount" and item.label == "amount"
    return both and before.value.value is not None and before.value.value == item.value.value


def _target(context: Context, cue: Claim, board: Board) -> Draft | None:
    """The reading a cue takes back; one of an earlier utterance only when the cue opens this one."""
    last = context.last()
    if last is None:
        return None
    here = last.reading.evidence is not None and last.reading.evidence.utterance == board.utterance.index
    opened = not any(
        claim.label in ("amount", "state", "points", "component") and claim.last < cue.first for claim in board.claims
    )
    return last if here or opened else None


def _following(board: Board, cue: Claim) -> Claim | None:
    at = cue.last + 1
    while at < len(board.pieces) and board.owner[at] is None and board.word(at) in SKIPPED:
        at += 1
    return board.owner[at] if at < len(board.pieces) else None


def _number_behind(board: Board, claim: Claim) -> bool:
    return any(other.label in ("amount", "state") and other.first > claim.last for other in board.claims)


def _restated(board: Board, cue: Claim, target: Draft) -> bool:
    """'sixty six degrees no psi sixty six psi': the number is said again behind its right unit."""
    unit = next((claim for claim in board.labelled("corrected unit") if claim.first > cue.last), None)
    owner = board.owner[unit.last + 1] if unit is not None and unit.last + 1 < len(board.pieces) else None
    same = owner is not None and owner.label == "amount" and owner.value.value == target.reading.value
    return same and target.reading.value is not None


def _unit_behind(board: Board, cue: Claim) -> str | None:
    at = cue.last + 1
    while at < len(board.pieces) and board.owner[at] is None and board.word(at) in SKIPPED:
        at += 1
    owner = board.owner[at] if at < len(board.pieces) else None
    return (
        owner.value if owner is not None and owner.label == "corrected unit" and owner.value in unit_table() else None
    )


def _amend_unit(context: Context, target: Draft, unit: str) -> None:
    kind = target.reading.kind if can_measure(unit, target.reading.kind) else unit_table()[unit].kinds[0]
    inferred = tuple(pair for pair in target.reading.inferred if pair[0] != "unit")
    doubts = tuple(doubt for doubt in target.reading.doubts if doubt.code not in ("unit inferred", "kind unsure"))
    _replace(context, target, replace(target.reading, unit=unit, kind=kind, inferred=inferred, doubts=doubts))


def _amend_points(context: Context, target: Draft | None, claim: Claim, board: Board) -> None:
    """'that was start not run': the named point takes the place of the one denied, else of the one that is not
    common."""
    points: Points = claim.value
    waiting = context.points
    if target is None and waiting is not None:
        context.points = _exchanged(waiting, points)
        return
    if target is None:
        return
    named = settle(points, target.reading.kind, target.reading.value)
    old = target.reading.points
    if len(named) == 1 and len(old) == 2 and not points.side:
        denied = [
            settle(c.value, target.reading.kind, None)
            for c in board.labelled("points")
            if c.first > claim.last and board.word(c.first - 1) == "not"
        ]
        gone = (
            denied[0][0]
            if denied and denied[0] and denied[0][0] in old
            else next((p for p in reversed(old) if p not in ("common", "ground", named[0])), old[-1])
        )
        named = tuple(named[0] if point == gone else point for point in old)
    _replace(context, target, replace(target.reading, points=named))
    context.last_points = named


def _replaced_by_last(context: Context, board: Board) -> None:
    """'eighty nine at the return seventy nine rather': the last number takes the place of one of its kind."""
    new = context.last()
    if new is None or new.reading.value is None:
        return
    place = context.drafts.index(new)
    for old in reversed(context.drafts[max(0, place - 2) : place]):
        alike = old.reading.kind is new.reading.kind or not new.said_unit
        if old.reading.withdrawn or old.reading.value is None or context.now - old.at > CORRECTION_LASTS:
            return
        if alike and old.reading.value != new.reading.value:
            context.inherit, context.correction = old, "replace"
            finish_cue(context, new, board)
            return


def take_back(context: Context, board: Board) -> None:
    """'i wrote two hundred and eight but i had misread it and it is two eighteen': no cue says so, the tagger is sure,
    and another number of the utterance stands in its place.  One that nothing replaces stays, doubted: 'that's not
    right' may be said of the machine."""
    here = [draft for draft in context.drafts if draft.at == context.now]
    for place, old in enumerate(here):
        if old.taken_back < SURELY_TAKEN_BACK or old.reading.withdrawn or old.reading.value is None:
            continue
        for new in here[place + 1 :]:
            gone = new.reading.withdrawn or new.taken_back >= SURELY_TAKEN_BACK
            if not gone and _in_its_place(new, old.reading):
                context.inherit, context.correction = old, "replace"
                finish_cue(context, new, board)
                break


def _exchanged(waiting: Points, named: Points) -> Points:
    if len(named.halves) != 1 or len(waiting.halves) != 2:
        return named
    keep = waiting.halves[0]
    return replace(waiting, halves=(keep, named.halves[0]))


def finish_cue(context: Context, draft: Draft, board: Board) -> None:
    """A new reading behind a correction: it inherits what it does not say, and the old one is withdrawn."""
    target = context.inherit
    if target is None:
        return
    replaces, paused = context.correction is not None, context.correction == "pause"
    alone = context.correction == ALONE
    context.inherit = context.correction = None
    old = target.reading
    if alone and not _in_its_place(draft, old):
        return
    if replaces and draft.reading.kind is not old.kind and draft.said_unit:
        return
    if paused and _of_another_place(draft, old):
        return
    changes: dict[str, object] = {}
    if draft.said_points is None and old.points:
        changes["points"] = old.points
    if not draft.said_component and draft.reading.component != old.component and old.component is not None:
        changes["component"] = old.component
    if not draft.said_role and old.role is not Role.MEASURED and draft.reading.role is Role.MEASURED:
        changes["role"] = old.role
    draft.reading = draft.reading.with_(**changes)
    if replaces:
        unit, kind = _unit_of_correction(draft.reading, old, target.said_unit)
        _replace(context, target, replace(old, withdrawn=True, unit=unit, kind=kind))
    if alone:
        doubts = (*draft.reading.doubts, Doubt("maybe corrected", "A 'no' before it was taken to put it right."))
        draft.reading = replace(draft.reading, doubts=doubts)


def _in_its_place(draft: Draft, old: Reading) -> bool:
    """Behind a 'no' said alone, or one taken back: another number of its kind, of which no other place was said."""
    new = draft.reading
    if draft.said_component and new.component != old.component:
        return False
    return new.kind is old.kind and draft.said_points is None and new.role is old.role and new.value != old.value


def _of_another_place(draft: Draft, old: Reading) -> bool:
    """'four seventy eight l one to l two' ... 'hang on l one to l three is four eighty one': the next place with a
    number of its own; the same number at another place puts the place right."""
    new = draft.reading
    if draft.said_points is None or not old.points or new.value == old.value or new.value is None:
        return False
    return set(new.points) != set(old.points)


def _unit_of_correction(new: Reading, old: Reading, said: bool) -> tuple[str | None, Kind]:
    """The withdrawn number had the unit of the one that replaces it, unless its unit or its kind was said."""
    said = said or ("unit", f"'{old.kind.value}'") in old.inferred
    return (old.unit, old.kind) if said or old.state is not None or new.state is not None else (new.unit, new.kind)


def _replace(context: Context, target: Draft, reading: Reading) -> None:
    target.reading = reading
