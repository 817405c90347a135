"""Circumstances of readings: conditions, trends, phase of the visit, meter mode, instrument."""

from __future__ import annotations

from collections.abc import Sequence

from journal.domain.kind import Kind
from journal.domain.reading import Phase, Trend
from journal.interpret.board import Board, Claim, Hit
from journal.interpret.numbers.runs import is_number_word
from journal.interpret.standing.durations import of_another
from journal.interpret.standing.settings import moved_to
from journal.interpret.tagger.tags import NO_TREND
from journal.interpret.vocabulary import small_words, table

SURE_OF_TREND = 0.7
#: of 27 authors not learned from: 99 as left and 4 not; below, to a half, 11 and 14
SURE_OF_PHASE = 0.7
TREND_REACH = 7  # words between a trend and its number


def conditions_of(board: Board, item: Claim) -> tuple[str, ...]:
    """Return the conditions said in the utterance; of exclusive ones the nearest to the number."""
    hits = board.found("conditions", free=False)
    nearest: dict[str, int] = {}
    for hit in hits:
        owners = [owner for owner in board.owner[hit.first : hit.last + 1] if owner is not None]
        if any(owner is item or owner.label == "points" for owner in owners):
            continue
        if hit.name in table("conditions")["of_its_clause"] and _of_another_clause(board, hit, item):
            continue
        distance = min(abs(hit.last - item.first), abs(hit.first - item.last))
        nearest[hit.name] = min(distance, nearest.get(hit.name, distance))
    for group in table("conditions")["exclusive"]:
        rivals = sorted((name for name in nearest if name in group), key=lambda name: nearest[name])
        for name in rivals[1:]:
            del nearest[name]
    return tuple(name for name in table("conditions")["conditions"] if name in nearest)


def _of_another_clause(board: Board, hit: Hit, item: Claim) -> bool:
    """'four seventy at the lugs and it sags to four forty when it starts': the first one was not read at a start."""
    ends = [at for at in range(item.last + 1, hit.first) if board.word(at) in small_words("conjunctions")]
    return any(
        ends
        and claim is not item
        and ends[0] < claim.first < hit.first
        and any(board.word(at) in table("clauses")["subjects"] for at in range(ends[0] + 1, claim.first))
        for claim in board.labelled("amount")
    )


def trends_of(board: Board, items: Sequence[Claim]) -> dict[int, Trend]:
    """Return the trend of each item that has one: every trend word goes to the number nearest to it; where none is
    said, what the tagger is sure of."""
    found: dict[int, Trend] = {}
    for place, item in enumerate(items):
        shares = _shares(board, item, "trend")
        likeliest = max(shares, key=shares.__getitem__, default=NO_TREND)
        if likeliest != NO_TREND and shares[likeliest] >= SURE_OF_TREND:
            found[place] = Trend(likeliest)
    times = [item for item in items if of_another(board, item, items)]
    for hit in board.found("trends", free=False):
        best: tuple[int, int] | None = None
        for place, item in enumerate(items):
            if item in times:
                continue
            inside = item.first <= hit.first <= item.last
            distance = 0 if inside else hit.first - item.last if hit.first > item.last else item.first - hit.last
            distance -= sum(t.last - t.first + 1 for t in times if item.last < t.first and t.last < hit.first)
            if distance <= TREND_REACH and (best is None or distance < best[0]):
                best = (distance, place)
        if best is not None and not _is_drop(board, hit):
            found[best[1]] = Trend(hit.name)
    return found


def _shares(board: Board, item: Claim, name: str) -> dict[str, float]:
    """What the tagger makes of a number or a state; nothing where it was said twice, as the second may be idle."""
    if item.label != "amount":
        return board.tags.over(name, item.first, item.last)
    return {} if item.value.repeated else board.tags.over(name, item.value.number_first, item.value.number_last)


def _is_drop(board: Board, hit: Hit) -> bool:
    """'dropping three degrees across the drier' is a difference, not a trend."""
    owner = board.owner[hit.last + 1] if hit.last + 1 < len(board.pieces) else None
    return (
        owner is not None
        and owner.label == "amount"
        and board.text(hit.first, hit.last) in table("conditions")["drops"]
    )


def is_drop(board: Board, item: Claim) -> bool:
    """Return whether an amount is said as a drop or a rise: 'dropping three degrees', 'a three degree drop'."""
    data = table("conditions")
    if item.first > 0 and board.word(item.first - 1) in data["drops"]:
        return True
    if board.word(item.last + 1) in data["drops_behind"]:
        ahead = item.last + 2 + (board.word(item.last + 2) in small_words("copulas"))
        return ahead >= len(board.pieces) or not is_number_word(board.pieces[ahead])  # 'supply 55, split's nineteen'
    degrees_said = item.label == "amount" and item.value.unit is not None
    over = degrees_said and board.word(item.last + 1) in data["drops_over"]
    return over and (_said_whole(board, item.last + 2) or _part_at(board, item.last + 2))


def _said_whole(board: Board, at: int) -> bool:
    """'eighteen degrees across it', 'that's eighteen degrees across and ...': of what, was said before."""
    word = board.word(at)
    return not word or word in small_words("it") | small_words("conjunctions") or word in table("clauses")["stops"]


def _part_at(board: Board, at: int) -> bool:
    at += board.word(at) in small_words("component_articles") | small_words("determiners")
    owner = board.owner[at] if at < len(board.pieces) else None
    return owner is not None and owner.label == "component"


def phases_of(board: Board, items: Sequence[Claim], start: Phase) -> tuple[list[Phase], Phase]:
    """Return the phase of each item and the phase that holds after the utterance."""
    other = table("conditions")["no_phase_before"]  # 'at the end of harvest' is no end of the visit
    said = [hit for hit in board.found("phases", free=False) if board.word(hit.last + 1) not in other]
    hits = sorted([*said, *_new_parts(board), *_own_acts(board)], key=lambda hit: hit.first)
    lasting = set(table("conditions")["lasting"])
    phase, found = start, []
    for item in items:
        for hit in [hit for hit in hits if hit.last < item.first]:
            phase = Phase(hit.name)
            hits.remove(hit)
        found.append(phase)
    _past_and_now(board, items, found)
    for place, item in enumerate(items):
        shares = _shares(board, item, "phase")
        best = max(shares, key=shares.__getitem__, default=found[place].value)
        # what was left as it is may have been told long before: only the words of this utterance undo it
        if shares and shares[best] >= SURE_OF_PHASE and (best == Phase.AS_LEFT or start is Phase.AS_FOUND):
            found[place] = Phase(best)
    for hit in hits:
        owner = items[-1] if items else None
        if owner is not None and hit.first - owner.last <= 4 and hit in said:
            found[-1] = Phase(hit.name)
        if board.text(hit.first, hit.last) in lasting:
            phase = Phase(hit.name)
    return found, phase


def _new_parts(board: Board) -> list[Hit]:
    """'new fan motor's pulling', 'new one's', 'new: 7.4': what is measured on a new part is as left."""
    hits = []
    for at, piece in enumerate(board.pieces):
        behind = board.owner[at + 1] if at + 1 < len(board.pieces) else None
        part = behind is not None and behind.label == "component"
        ahead = at + 1 + (board.word(at + 1) in small_words("before_values"))
        value = ahead < len(board.pieces) and (owner := board.owner[ahead]) is not None and owner.label == "amount"
        if (
            piece.text == "new"
            and (part or value or board.word(at + 1) == "one")
            and board.word(at - 1) not in small_words("wanted")
        ):
            hits.append(Hit("phases", Phase.AS_LEFT.value, at, at))
    return hits


def _own_acts(board: Board) -> list[Hit]:
    """'bumped it up to thirty', 'tightened the lug and it's down to point one': what follows is as left."""
    acts = table("conditions")["left_by_work"]
    done = [claim for claim in board.labelled("work") if claim.value.done and claim.value.action in acts]
    spans = [(claim.first, claim.last) for claim in done]
    spans += [(hit.first, hit.last) for hit in board.hits.get("settings made", ())]
    return [Hit("phases", Phase.AS_LEFT.value, first, last) for first, last in spans]


def _past_and_now(board: Board, items: Sequence[Claim], found: list[Phase]) -> None:
    """'was pulling sixteen two and now she's at twelve nine', 'from three to ten', 'was at ninety so i turned it to
    sixty', '... and two forty one after'."""
    words = table("conditions")
    for place in range(len(items) - 1):
        before = [board.word(at) for at in range(items[place - 1].last + 1 if place else 0, items[place].first)]
        between = [board.word(at) for at in range(items[place].last + 1, items[place + 1].first)]
        was_now = any(w in words["past"] for w in before) and any(w in words["present"] for w in between)
        changed = "from" in before and " ".join(between) in small_words("to_the_next")
        now_was = between[:1] == ["now"] and any(w in words["past"] for w in between)
        if now_was:
            found[place], found[place + 1] = Phase.AS_LEFT, Phase.AS_FOUND
        told = f" {' '.join(before)} "
        set_anew = any(w in words["past"] for w in before) and moved_to(board, items[place + 1].first) is not None
        if was_now or set_anew or (changed and any(f" {phrase} " in told for phrase in words["changed"])):
            found[place], found[place + 1] = Phase.AS_FOUND, Phase.AS_LEFT
    if items and board.word(items[-1].last + 1) == "after" and items[-1].last + 2 >= len(board.pieces):
        found[-1] = Phase.AS_LEFT


def mode_set(board: Board) -> tuple[int, Kind] | None:
    """Return (token, kind) where the meter was put into a mode: 'putting the meter on resistance'."""
    words = table("conditions")
    found: tuple[int, Kind] | None = None
    for hit in board.found("modes", free=False):
        owners = board.owner[hit.first : hit.last + 1]
        if any(owner is not None and owner.label == "amount" for owner in owners):
            continue
        before = [board.word(place) for place in range(max(0, hit.first - 5), hit.first)]
        itself = board.text(hit.first, hit.last) in words["mode_instruments"]
        if (
            itself
            or any(word in words["mode_verbs"] for word in before)
            or (1 <= len(before) <= 2 and before[-1] in small_words("before_modes"))
        ):
            found = (hit.first, Kind(hit.name))
    return found


def instrument_of(board: Board) -> str | None:
    """Return the instrument that is named: a megger proves what an ohmmeter cannot."""
    hits = board.found("instruments", free=False)
    return hits[-1].name if hits else None


def instrument_for(named: str | None, kind: Kind) -> str | None:
    """Return the instrument named before, if it measures that kind: no megger reads a box."""
    kinds = table("conditions")["instrument_kinds"].get(named)
    return named if kinds is None or kind.value in kinds else None
