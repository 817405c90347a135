"""Whether a number said without a unit is well tied to what its unit was taken from.

In clean speech a place stands right before its number ('box is thirty six') or is tied behind it ('thirty six in
the box').  In a garbled sentence a place, a number and half-understood words stand side by side by chance; a unit taken
from such a neighbour is a guess, and is doubted.  Typed notes are what somebody wrote and are not looked at.
"""

from __future__ import annotations

from functools import cache

from journal.domain.reading import Doubt
from journal.interpret.board import Board, Claim
from journal.interpret.context import Context
from journal.interpret.document import LOW_CONFIDENCE, UNKNOWN
from journal.interpret.idle.withholding import KNOWN
from journal.interpret.places.behind import VAGUE, Bound
from journal.interpret.quantities.surroundings import Quantity, Surroundings
from journal.interpret.quantities.topics import topic_hit
from journal.interpret.quantities.unit_doubts import CLOSE, GAUGES
from journal.interpret.sentence import Sentence
from journal.interpret.vocabulary import table

#: where a unit may come from that needs no place: it was said for a neighbour, or for the number that is put right
SAID_NEARBY = (
    "list",
    "corrected reading",
    "number denied",
    "reading that moved",
    "value it is set against",
    "setting before",
    "difference from a neighbour",
    "nominal voltage",
)


def grounding_doubts(sentence: Sentence, place: int, around: Surroundings, quantity: Quantity) -> list[Doubt]:
    """Return the doubts about a number whose unit was inferred; none for typed notes and where the unit was said."""
    board, item = sentence.board, sentence.items[place]
    source = quantity.inferred.get("unit")
    if board.utterance.end == 0.0 or source is None or item.value.unit is not None or place in sentence.parts:
        return []
    if source in SAID_NEARBY:
        return []
    how = _tied_here(sentence, place, around)
    if how is False:
        return [Doubt("unit inferred", "No unit was said, and the words between number and place are unclear.")]
    if how is None and _garbled(board):
        return [Doubt("unit inferred", "No unit was said, and words beside the number were not understood.")]
    if how is None and not (around.measured or around.clamped or _goes_on(sentence, place, around, quantity)):
        return [Doubt("unit inferred", "No unit and no place was said with the number.")]
    several = sentence.lists.count(sentence.lists[place]) > 1
    if how is None and several and around.component in GAUGES and around.component_how == "carried":
        return [Doubt("unit inferred", "Several numbers follow, and only one side of the gauges was named before.")]
    if how and _hanging_kind(sentence, place):
        return [Doubt("grouping", "Another quantity was named before it and got no number.")]
    return []


def _tied_here(sentence: Sentence, place: int, around: Surroundings) -> bool | None:
    """True when a place of this utterance is plainly tied to the number, False when one stands there by chance,
    ``None`` when none was said."""
    board, item = sentence.board, sentence.items[place]
    anchors = (sentence.components[place], sentence.points[place], sentence.kinds[place], sentence.machines[place])
    bounds = [bound for bound in anchors if bound is not None]
    if any(_plainly(board, bound, item) for bound in bounds):
        return True
    hit = topic_hit(sentence, place)
    if hit is not None:
        before = hit.last < item.first
        if before and _read_through(board, hit.last + 1, item.first):
            return True
        if not before and all(_plain(board, at) for at in range(item.last + 1, hit.first)):
            return True
    return False if bounds or hit is not None else None


def _plainly(board: Board, bound: Bound, item: Claim) -> bool:
    if bound.how != "before":
        return True  # 'list' goes with its neighbour, 'behind' has only linking words between
    return _read_through(board, bound.claim.last + 1, item.first)


def _read_through(board: Board, first: int, behind: int) -> bool:
    """Only plain words stand between; one odd one may when 'is', 'at', 'to' leads to the number ('dips to one ten')."""
    odd = [at for at in range(first, behind) if not _plain(board, at)]
    if not odd:
        return True
    led = board.word(behind - 1) in table("unsaid")["value_links"]
    return led and len(odd) == 1 and _heard_well(board, odd[0])


def _heard_well(board: Board, at: int) -> bool:
    return board.pieces[at].text != UNKNOWN and board.pieces[at].confidence >= LOW_CONFIDENCE


def _plain(board: Board, at: int) -> bool:
    """A word that the vocabulary knows, or a small word of ordinary speech, heard well."""
    text = board.pieces[at].text
    if not _heard_well(board, at):
        return False
    if board.owner[at] is not None or text in _small_words() or text.endswith("ly"):
        return True
    return any(hit.first <= at <= hit.last for context in _contexts() for hit in board.hits.get(context, ()))


@cache
def _contexts() -> tuple[str, ...]:
    hedges = tuple(f"hedges {name}" for name in table("hedges"))
    return (*KNOWN, *hedges)


@cache
def _small_words() -> frozenset[str]:
    data = table("unsaid")
    lists = (data["links"], data["prepositions"], data["placing"], data["bare_words"], data["leading"])
    return frozenset(word for words in (*lists, data["followers"]["forms"], data["verbs"]["forms"]) for word in words)


def _garbled(board: Board) -> bool:
    return not all(_heard_well(board, at) for at in range(len(board.pieces)))


def _goes_on(sentence: Sentence, place: int, around: Surroundings, quantity: Quantity) -> bool:
    """The place was named just before and waited for its number, or the number goes on a row of readings."""
    context: Context = around.context
    if around.waiting or (around.points is not None and sentence.points[place] is None):
        return True
    if context.kind is not None and context.kind is around.kind:
        return True
    last = context.last()
    if last is None or last.reading.unit != quantity.unit:
        return False
    evidence, size, own = last.reading.evidence, last.reading.value, sentence.items[place].value.key
    here = evidence is not None and evidence.utterance == sentence.board.utterance.index
    return here or (size is not None and abs(size) / CLOSE <= abs(own) <= abs(size) * CLOSE)


def _hanging_kind(sentence: Sentence, place: int) -> bool:
    """'superheat to motor amps thirty one': a telling kind before the place got no number of its own."""
    bound = sentence.kinds[place]
    if bound is None or bound.how != "before":
        return False
    used = [id(other.claim) for other in sentence.kinds if other is not None]
    after = sentence.items[place - 1].last if place else -1
    return any(
        after < claim.first < bound.claim.first and id(claim) not in used and claim.value != bound.claim.value
        for claim in sentence.board.labelled("kind")
        if claim.value not in VAGUE and _breaks_off(sentence.board, claim)
    )


def _breaks_off(board: Board, claim: Claim) -> bool:
    """Nothing is said of it: the next part or quantity follows at once or behind 'to', 'of', 'and'."""
    at, ties = claim.last + 1, {"and", *table("unsaid")["prepositions"]}
    while at < len(board.pieces) and board.owner[at] is None and board.word(at) in ties:
        at += 1
    return at < len(board.pieces) and board.owner[at] is not None and at - claim.last <= 3
