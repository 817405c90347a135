"""What was seen, felt, heard or smelled, with the part it was seen at; denials are kept as denials."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from journal.domain.ids import new_id
from journal.domain.visit import Finding
from journal.interpret.board import Board, Claim, Hit
from journal.interpret.evidence import words_from
from journal.interpret.places.choosing import choose_component
from journal.interpret.seen.work import Done
from journal.interpret.standing.clauses import clause_of, clause_starts
from journal.interpret.vocabulary import small_words, table

BEFORE, BEHIND = 7, 7  # words between a part and what is said of it
PLACED = 3  # words behind a finding in which its place is called by a short name
DENIED = 5  # words between a denial and what it denies


def findings_of(board: Board, equipment: str | None, carried: str | None) -> Iterator[Finding]:
    """Yield the findings of one utterance in its order."""
    walls = clause_starts(board)
    taken = {
        place
        for claim in board.claims
        if claim.label in ("work", "correction", "amount", "no reading")
        for place in range(claim.first, claim.last + 1)
    }
    seen: set[tuple[str, str | None]] = set()
    said_last: str | None = None
    for hit in board.found("findings", free=False):
        span = range(hit.first, hit.last + 1)
        if not taken.isdisjoint(span) or _supposed(board, hit, walls):
            continue
        body: dict[str, Any] = table("findings")[hit.name]
        if any(_overlaps(board, hit, phrase) for phrase in body.get("quiet", ())):
            continue
        component = body.get("parts", {}).get(board.word(hit.first)) or _specific(board, hit, _part(board, hit, walls))
        counted = carried is not None and bool(table("components")[carried].get("electrical"))
        if component is None and (_about_it(board, hit) or (counted and _about_one(board, hit))):
            component = carried
        if component is None or _names_place(board, hit, body):
            component = body.get("about")
        if component is None and said_last is not None and board.word(hit.first - 1) == "and":
            component = said_last  # 'the left one's rattling ... and not turning'
        if not _counts(board, hit, body, component) or (hit.name, component) in seen:
            continue
        seen.add((hit.name, component))
        said_last = component
        yield Finding(
            what=hit.name, component=component, equipment=equipment, negated=_denied(board, hit, walls),
            evidence=words_from(board, hit.first, hit.last), id=new_id(),
        )  # fmt: skip


def _names_place(board: Board, hit: Hit, body: dict[str, Any]) -> bool:
    """'no oil at the flare and no bubbles in the glass': a word behind it that only its own place has."""
    words = {board.word(at) for at in range(hit.last + 1, hit.last + 1 + PLACED)}
    return not words.isdisjoint(body.get("places", ()))


def _specific(board: Board, hit: Hit, component: str | None) -> str | None:
    """'no noise out of it' is of the part named before; 'that motor' is the motor named before."""
    named = [str(claim.value) for claim in board.labelled("component") if claim.last < hit.first]
    out_of_it = any(board.word(at) in small_words("it") for at in (hit.last + 2, hit.last + 3))
    if (
        component is None
        and out_of_it
        and board.word(hit.last + 1) in (*small_words("part_of"), *small_words("out_of"))
    ):
        return named[-1] if named else None
    parts = table("components")
    if component is not None and parts[component].get("generic") and parts[component].get("turns"):
        turning = [name for name in named if parts[name].get("turns") and not parts[name].get("generic")]
        return turning[-1] if turning else component
    return component


def _counts(board: Board, hit: Hit, body: dict[str, Any], component: str | None) -> bool:
    if component is None:
        alone = body.get("alone_forms")
        return bool(body.get("alone")) and (alone is None or board.text(hit.first, hit.last) in alone)
    return component in body.get("only", [component]) and component not in body.get("never", ())


def _about_it(board: Board, hit: Hit) -> bool:
    """'it's bulged on top', 'they're pitted': the part named before."""
    before = {board.word(hit.first - 1), board.word(hit.first - 2)}
    return board.word(hit.first - 1) in small_words("it") and bool(before & small_words("the_part"))


def _about_one(board: Board, hit: Hit) -> bool:
    """'third one's rattling': one of the parts named before."""
    at = hit.first - 1
    at -= board.word(at) in small_words("copulas") and board.owner[at] is None
    owner = board.owner[at] if at >= 0 else None
    return owner is not None and owner.value == "pronoun" and "one" in board.text(owner.first, owner.last).split()


def _part(board: Board, hit: Hit, walls: list[int]) -> str | None:
    clause = clause_of(walls, hit.first)
    start = walls[clause]
    components = list(board.labelled("component"))
    inside = [c for c in components if c.first <= hit.first <= c.last or c.first <= hit.last <= c.last]
    components = [c for c in components if c not in inside or c.value in table("findings")[hit.name].get("only", ())]
    behind = [c for c in components if 0 < c.first - hit.last <= BEHIND and _tied(board, hit, c)]
    before = [c for c in components if c.last < hit.first and c.first >= start and hit.first - c.last <= BEFORE]
    if not before:
        before = [c for c in components if c.last < hit.first and hit.first - c.last <= BEFORE]
    if behind and (not before or _tied_closely(board, hit, behind[0])) and not _verb_between(board, before, hit):
        return str(choose_component(board)([behind[0]]).value)
    if before:
        return str(_first_of(board, before).value)
    return str(inside[0].value) if inside and inside[0].value in table("findings")[hit.name].get("only", ()) else None


def _verb_between(board: Board, before: list[Claim], hit: Hit) -> bool:
    """'heater is iced on the end'; in 'heater's at nine amps and ice on the coil' the verb is of the number."""
    if not before:
        return False
    between = range(before[-1].last + 1, hit.first)
    if board.word(hit.first - 1) == "and" and any(c.first in between for c in board.labelled("amount", "state")):
        return False
    return any(board.word(place) in table("unsaid")["verbs"]["forms"] for place in between)


def _first_of(board: Board, window: list[Claim]) -> Claim:
    """'wire on the contactor is burnt' is about the wire."""
    chosen = window[-1]
    for claim in reversed(window[:-1]):
        between = [board.word(at) for at in range(claim.last + 1, chosen.first)]
        if 0 < len(between) <= 3 and between[0] in small_words("part_of"):
            chosen = claim
        else:
            break
    return chosen


def _tied(board: Board, hit: Hit, claim: Claim) -> bool:
    words = [board.word(place) for place in range(hit.last + 1, claim.first)]
    ends = board.word(hit.last)
    told = board.word(hit.first - 1) in small_words("copulas") or board.word(hit.first) in small_words("copulas")
    if told and not words and board.word(claim.last + 1) in small_words("copulas"):
        return False  # 'filter is plugged static's at one point one'
    ties = set(table("unsaid")["prepositions"])
    return (any(word in ties for word in words) or ends in ties or ends == "the" or not words) and not any(
        word in small_words("conjunctions") for word in words
    )


def _tied_closely(board: Board, hit: Hit, claim: Claim) -> bool:
    return claim.first - hit.last <= 4


def _denied(board: Board, hit: Hit, walls: list[int]) -> bool:
    reversing = set(table("findings")["reversing"])
    if hit.name.startswith("not "):
        return False
    start = max(walls[clause_of(walls, hit.first)], hit.first - DENIED)
    return any(board.word(place) in reversing for place in range(start, hit.last + 1))


def _supposed(board: Board, hit: Hit, walls: list[int]) -> bool:
    start = walls[clause_of(walls, hit.first)]
    return any(board.word(place) in small_words("suppositions") for place in range(start, hit.last + 3))


def _overlaps(board: Board, hit: Hit, phrase: str) -> bool:
    words = phrase.split()
    for start in range(hit.first - len(words) + 1, hit.last + 1):
        if start >= 0 and [board.word(place) for place in range(start, start + len(words))] == words:
            return True
    return False


def works_of(board: Board) -> Iterator[tuple[Claim, Done]]:
    """Yield the work claims of one utterance in its order."""
    for claim in board.labelled("work"):
        yield claim, claim.value
