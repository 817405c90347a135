"""What was done: a verb with its part or its amount; promised, quoted and ordered work is marked as not done."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from journal.domain.kind import Kind
from journal.domain.reading import Role
from journal.domain.unit_table import unit_table
from journal.interpret.board import Board, Claim, Hit
from journal.interpret.numbers.amounts import Amount, shared_unit
from journal.interpret.standing.clauses import clause_of, clause_starts
from journal.interpret.standing.roles import stands_of
from journal.interpret.vocabulary import small_words, table

ARTICLES = small_words("before_objects")
OUT_REACH = 6  # words behind a mass ('of r four ten a') in which 'out' or 'back' says that it came out
REACH = 9  # words between a verb and its part


@dataclass(frozen=True, slots=True)
class Done:
    """One action with its parts or its amount."""

    action: str
    components: tuple[str, ...] = ()
    part: str | None = None  # an object that is no known component, as said
    amount: Amount | None = None
    unit: str | None = None
    done: bool = True
    dated: bool = False  # 'after i swapped the relay it runs': done, and perhaps told of already


def claim_work(board: Board) -> None:
    """Claim the verbs of work with what they were done to."""
    walls = clause_starts(board)
    for contexts in (("work with_amount", "work behind"), ("work", "work base", "work standing")):
        for hit in board.found(*contexts, free=False):
            if any(
                (owner := board.owner[at]) is not None and owner.label == "amount"
                for at in range(hit.first, hit.last + 1)
            ):
                continue
            found = _done(board, hit, walls)
            if found is not None and not _marked(board, hit) and not _said_again(board, found):
                board.mark("work", hit.first, hit.last, found, "work done" if found.done else "work promised")


def _done(board: Board, hit: Hit, walls: list[int]) -> Done | None:
    body: dict[str, Any] = table("work")[hit.name]
    form = board.text(hit.first, hit.last)
    words = table("work")
    before = _words_before(board, hit, walls)
    since = _words_since_number(board, hit, before)
    if _said(since, words["denied"], 3) or (_said(since, words["others"], 3) and not _by_myself(board, hit)):
        return None
    if hit.context == "work" and hit.first == hit.last and board.word(hit.first - 1) in table("numbers")["articles"]:
        return None  # 'it's a fixed orifice': what it is, and nothing done to it
    standing = hit.context == "work standing"
    promised = standing or bool(body.get("promised")) or _said(before, words["promises"], 4)
    if hit.context == "work behind" and _amount_follows(board, hit):
        return None
    if hit.context == "work behind" and _into_something_else(board, hit):
        return None
    if hit.context == "work base" and not promised and not form.startswith("quote"):
        return None
    if hit.context == "work base" and _is_read(board, hit):
        return None
    if _said(before, ["if"], 8) or (hit.context == "work" and _said(before, words["told_of"], 2)):
        return None
    amount = _amount(board, hit) if body.get("amount") else None
    if hit.context in ("work with_amount", "work behind") and (amount is None or _amount_is_taken(board, amount)):
        return None
    if amount is not None and _amount_is_taken(board, amount, hit.name):
        return None  # 'recovered it all, nine pounds came out'
    referred = _referred(board, hit)
    components = tuple(_parts(board, hit, walls, amount)) if referred is None else referred
    if body.get("only"):
        components = tuple(name for name in components if name in body["only"])
    if not components and form in words["it"] and board.hints is not None and board.hints.component:
        components = (board.hints.component,)
    part = _named_part(board, hit, walls) if not components and amount is None and body.get("parts") else None
    if not components and not body.get("alone") and amount is None and part is None:
        return None
    done = not promised and not form.startswith("quote")
    dated = hit.context == "work" and _said(before, words["dated"], 2)
    if amount is not None:
        return Done(hit.name, (), None, amount, _unit(amount), done)
    return Done(hit.name, components[:1] if body.get("amount") else components, part, None, None, done, dated)


def _is_read(board: Board, hit: Hit) -> bool:
    """'i get nothing across the heater', 'i get forty on the meter': what is read behind the verb is not bought."""
    owner = board.owner[hit.last + 1] if hit.last + 1 < len(board.pieces) else None
    return owner is not None and owner.label in ("state", "amount")


def _by_myself(board: Board, hit: Hit) -> bool:
    """'the overload was out i reset it': whatever was said before, 'i' opens a statement of one's own."""
    first = hit.first if board.word(hit.first) in small_words("myself") else hit.first - 1
    return board.word(first) in small_words("myself") and first > 0


def _referred(board: Board, hit: Hit) -> tuple[str, ...] | None:
    """'washed it', 'put a new one in': the part spoken of before; ``None`` where the verb has an object of its own."""
    words = table("work")
    inside = any(board.word(place) in words["objects"] for place in range(hit.first, hit.last + 1))
    if inside and words[hit.name].get("whole"):
        return ()  # 'pumped it down': the system, whatever part was spoken of
    owner = board.owner[hit.last + 1] if hit.last + 1 < len(board.pieces) else None
    own = owner is not None and owner.label == "component"  # 'replaced with a new CONTACTOR'
    inside = inside or (board.text(hit.first, hit.last) in words["it"] and not own)
    if not inside and board.word(hit.last + 1) not in words["objects"]:
        return None
    named = [claim for claim in board.labelled("component") if claim.last < hit.first]
    if named:
        return (str(named[-1].value),)
    carried = board.hints.component if board.hints is not None else None
    return (carried,) if carried else ()


def _amount_follows(board: Board, hit: Hit) -> bool:
    """'tag says seven pounds i recovered five pounds': its own amount stands right behind the verb."""
    owner = board.owner[hit.last + 1] if hit.last + 1 < len(board.pieces) else None
    return owner is not None and owner.label == "amount" and _unit(owner.value) is not None


def _into_something_else(board: Board, hit: Hit) -> bool:
    """'four pounds went in the other jug' is in no system."""
    return board.word(hit.last) == "in" and board.word(hit.last + 1) in small_words("component_articles") | ARTICLES


def _clause_end(walls: list[int], hit: Hit, board: Board) -> int:
    """Return the token behind the clause a phrase ends in."""
    return next((wall for wall in walls if wall > hit.last), len(board.pieces))


def _named_part(board: Board, hit: Hit, walls: list[int]) -> str | None:
    """'changed the valve core': what was worked on when it is no known component, in up to three words."""
    at = hit.last + 1
    if board.word(hit.last) not in ARTICLES and board.word(at) not in ARTICLES:
        return None
    at += board.word(at) in ARTICLES
    ends = [*walls, len(board.pieces)]
    behind = next(end for end in ends if end >= at)
    stop = set(table("unsaid")["followers"]["forms"]) | set(table("work")["part_ends"])
    found: list[str] = []
    while at < behind and len(found) < 3 and board.word(at) not in stop and board.word(at).isalpha():
        found.append(board.word(at))
        at += 1
    return " ".join(found) or None


def _said_again(board: Board, found: Done) -> bool:
    """'i brushed it and washed it out': one cleaning."""
    same = (claim.value for claim in board.labelled("work"))
    return found.amount is None and any(
        (done.action, done.components, done.part, done.done) == (found.action, found.components, found.part, found.done)
        for done in same
    )


def _marked(board: Board, hit: Hit) -> bool:
    return any(claim.first <= hit.last and hit.first <= claim.last for claim in board.labelled("work"))


def _words_before(board: Board, hit: Hit, walls: list[int]) -> list[str]:
    start = walls[clause_of(walls, hit.first)]
    arrows = table("mishearings")["arrows"]  # 'bad cap -> replaced' was done, 'to replace' is promised
    return [board.word(place) for place in range(start, hit.first) if board.pieces[place].raw not in arrows]


def _words_since_number(board: Board, hit: Hit, before: list[str]) -> list[str]:
    """'cut in was at thirty raised it to thirty six': the 'was' is of the number behind it, not of the verb."""
    last = max((claim.last for claim in board.labelled("amount") if claim.last < hit.first), default=-1)
    return before[-(hit.first - last - 1) :] if last < hit.first - 1 else []


def _said(before: list[str], phrases: list[str], reach: int) -> bool:
    """Return whether one of the phrases ends within the last ``reach`` words."""
    text = f" {' '.join(before)} "
    for phrase in phrases:
        at = text.rfind(f" {phrase} ")
        if at >= 0 and len(text[at + len(phrase) + 2 :].split()) < reach:
            return True
    return False


def _amount(board: Board, hit: Hit) -> Amount | None:
    ahead = hit.context != "work behind"
    claims = [
        claim for claim in board.labelled("amount") if (claim.first > hit.last if ahead else claim.last < hit.first)
    ]
    claims = claims[:1] if ahead else claims[-1:]
    if claims and hit.name == "recovered" and _is_held(board, hit, claims[0]):
        return None
    items = list(board.labelled("amount", "state"))
    stands = stands_of(board, items) if claims else []
    claims = [c for c in claims if (s := stands[items.index(c)]).withheld is None and s.role is Role.MEASURED]
    for claim in claims:
        gap = claim.first - hit.last if ahead else hit.first - claim.last
        if board.word(claim.last + 1) == "of" and board.word(claim.last + 2) in table("work")["no_refrigerant"]:
            continue
        if gap <= REACH and _unit(claim.value) is not None:
            amount: Amount = claim.value
            return amount
    return None


def _is_held(board: Board, hit: Hit, amount: Claim) -> bool:
    """'i've got sixty pounds on the low side', 'i got thirty four pounds net': what there is, and nothing came out."""
    form = board.text(hit.first, hit.last)
    if hit.context != "work with_amount" or form not in table("work")["recovered"]["held_too"]:
        return False
    behind = range(amount.last + 1, amount.last + 1 + OUT_REACH)
    end = next((at for at in behind if board.word(at) in ("", *small_words("conjunctions"))), behind.stop)
    said = {board.word(at) for at in range(hit.last + 1, end)}
    at = amount.last + 1 + (board.word(amount.last + 1) == "of")
    owner = board.owner[at] if at < len(board.pieces) else None
    gas = board.word(at) == "refrigerant" or (owner is not None and owner.label == "refrigerant")
    return not said & small_words("handed_out") and not (gas and board.has("work"))


def _amount_is_taken(board: Board, amount: Amount, action: str | None = None) -> bool:
    """Another phrase took the amount already; with ``action``, one for the same action."""
    taken = [claim.value for claim in board.labelled("work") if claim.value.amount is amount]
    return any(action in (None, done.action) for done in taken)


def _joined(board: Board, part: Claim, other: Claim) -> bool:
    between = [board.word(place) for place in range(part.last + 1, other.first)]
    # 'swapped the cap the compressor started', but 'a new compressor a contactor and a drier'
    apart = bool(between) and all(word in small_words("the_very") for word in between)
    # 'the cap compressor started'
    apart = apart or (not between and board.starts("findings", other.last + 1) is not None)
    return not apart and all(word in table("work")["joins"] for word in between)


def _is_told_of(board: Board, part: Claim) -> bool:
    """'washed the coil and head came down': a verb behind the second part makes it no object of the first one."""
    behind = board.word(part.last + 1)
    if behind in small_words("part_acts"):
        return True  # 'jumped out the low pressure switch and the compressor starts'
    return behind in table("unsaid")["verbs"]["forms"] or behind in table("clauses")["past_verbs"]


def _unit(amount: Amount) -> str | None:
    """The unit of a mass; 'pounds' beside work is a mass."""
    unit = amount.unit
    if unit is not None and unit.startswith("shared"):
        unit = next(
            (when["unit"] for when in shared_unit(unit)["when"] if Kind.MASS in unit_table()[when["unit"]].kinds), None
        )
    return unit if unit is not None and Kind.MASS in unit_table()[unit].kinds else None


def _parts(board: Board, hit: Hit, walls: list[int], amount: Amount | None) -> Iterator[str]:
    """The parts behind the verb, joined by 'and'; the one before it when none is behind ('contactor's on order')."""
    if amount is not None:
        return
    last: Claim | None = None
    for claim in board.labelled("component"):
        if claim.first <= hit.last:
            continue
        if last is None:
            if claim.first - hit.last > REACH or any(board.starts("work", p) for p in range(hit.last + 1, claim.first)):
                break
            if _is_told_of(board, claim) and any(board.word(p) == "and" for p in range(hit.last + 1, claim.first)):
                break  # 'changed the belt and the return's at seventy'
        elif _is_told_of(board, claim) or not _joined(board, last, claim):
            break
        yield claim.value
        last = claim
    if last is None:
        names = [c.value for c in board.labelled("equipment") if 0 < c.first - hit.last <= 4]
        if names and names[0].entry in ("condensing unit", "ice machine"):
            yield names[0].entry
            return
        before = [
            claim for claim in board.labelled("component") if claim.last < hit.first and hit.first - claim.last <= 5
        ]
        wanted = hit.name == "ordered" and hit.last == _clause_end(walls, hit, board) - 1  # '... i still have to order'
        written = [claim for claim in board.labelled("component") if claim.last < hit.first]
        if written and board.pieces[hit.first - 1].raw in table("mishearings")["arrows"]:
            yield str(written[-1].value)  # 'Fan cap 7.5: meas 5.1 -> replaced'
        elif before and (
            hit.context in ("work standing",) or wanted or board.word(hit.first - 1) in small_words("is_or_was")
        ):
            yield before[-1].value
