"""A second look at how numbers stand: the tagger's, where it is sure of another role than the rules.

It has learned from whole narrations what the cues alone do not tell: 'the tag on it says', said two sentences before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from journal.domain.kind import Kind
from journal.domain.reading import Doubt, Reading, Role
from journal.interpret.board import Board, Claim
from journal.interpret.document import LOW_CONFIDENCE, UNKNOWN
from journal.interpret.numbers.amounts import Amount
from journal.interpret.numbers.runs import SEPARATORS, is_number_word
from journal.interpret.places.having import can_have
from journal.interpret.standing.roles import Stand
from journal.interpret.standing.sureness import features, learned, share_wrong
from journal.interpret.tagger.tags import NONE, NOWHERE, label_of
from journal.interpret.vocabulary import table

#: of 33 authors not learned from: where the rules only had it measured, 10 right and 63 wrong where the tagger
#: had at least this; of 27 others, where they had it expected 6 and 0, as a setting 2 and 0
SURE_OF_ROLE = {Role.MEASURED: 0.8, Role.NAMEPLATE: 0.95, Role.SETTING: 0.88, Role.EXPECTED: 0.9}
#: doubts that are dropped where all else speaks for the reading
OUTWEIGHED = ("unit inferred", "kind unsure", "role unsure", "grouping", "maybe no reading")
WHY = {
    "kind unsure": "The words around this number fit this kind of reading only so-so.",
    "role unsure": "By the words around it this number may stand for something else than it was taken for.",
    "grouping": "The number words may be parted another way.",
}
FEW = 5  # words of an utterance: so few say little by themselves
JOINING = SEPARATORS.union(table("numbers")["articles"])  # between the words of one number: 'two and a half'
#: of 27 authors not learned from: where the rules found no part, 5 right and 5 wrong from here to a half, 12 and 1
#: above
LIKELY_PLACE = 0.4
SURE_OF_CARRIED = 0.6  # where they found another: 18 right and 1 wrong, 4 and 5 from a half on
SURE_OF_PLACE = 0.75  # where one was named beside the number; doubted all the same
SURE_ALONE = 0.7  # where such a part has no such readings by the rules: 10 and 0
SURELY_NO_STATE = 0.7
EVEN = 0.5  # what is less likely than not is doubted, whatever else speaks for it
SURE_ENOUGH = 0.7  # the same of how a number is parted, and of kind and role where a word was heard badly
#: what the rules held back as supposed or remembered and the tagger is sure was read: 52 were, 10 not
GIVEN_BACK = "given back"
#: shares from which on; of 51 authors not learned from, what was denied was read 6 times, 1 not
MAY_BE_READ = {"supposed": 0.95, "memory": 0.97, "negated": 0.97}
NO_DENIAL = ("supposed", "memory")


def looked_again(board: Board, items: Sequence[Claim], stands: Sequence[Stand]) -> list[Stand]:
    """Return the stands, another where the tagger is sure of it."""
    return [_again(board, item, stand) for item, stand in zip(items, stands, strict=True)]


def _again(board: Board, item: Claim, stand: Stand) -> Stand:
    if item.label == "state":
        none = board.tags.kinds(item.first, item.last).get(NONE, 0.0)
        if stand.withheld in NO_DENIAL and board.tags.surely_read(item.first, item.last):
            return Stand(Role.MEASURED, cue=GIVEN_BACK)
        return replace(stand, withheld="no state") if none >= SURELY_NO_STATE and stand.withheld is None else stand
    amount: Amount = item.value
    least = MAY_BE_READ.get(stand.withheld or "", 2.0)
    none = board.tags.kinds(amount.number_first, amount.number_last).get(NONE, 1.0)
    if not amount.repeated and 1 - none >= least:
        roles = board.tags.roles(amount.number_first, amount.number_last)
        return Stand(Role(max(roles, key=roles.__getitem__)), cue=GIVEN_BACK)
    return stand


def is_read(board: Board, amount: Amount) -> bool:
    """Whether the tagger is sure that a number is a reading, whatever the cues around it say."""
    return board.tags.surely_read(amount.number_first, amount.number_last)


def role_by_tags(board: Board, amount: Amount, role: Role) -> tuple[Role, bool]:
    """The role of a reading, and whether the tagger's was taken instead of the one that the rules found: then it is
    doubted, unless ``weighed`` finds the tagger sure of everything else, too."""
    roles = {} if amount.repeated else board.tags.roles(amount.number_first, amount.number_last)
    best = max(roles, key=roles.__getitem__, default=role)
    if best == role or roles[best] < SURE_OF_ROLE[role]:
        return role, False
    return Role(best), True


def place_by_tags(board: Board, amount: Amount, name: str | None, kind: Kind, *, said: bool = False) -> str | None:
    """The part that a reading belongs to: the tagger's where the rules found none, or where it is sure of another that
    can have such readings; surer yet where one was ``said`` beside the number."""
    shares = board.tags.components(amount.number_first, amount.number_last)
    best = max(shares, key=shares.__getitem__, default=NOWHERE)
    if amount.repeated or not shares or best == (name or NOWHERE):
        return name
    if shares[best] < (LIKELY_PLACE if name is None else SURE_OF_PLACE if said else SURE_OF_CARRIED):
        return name
    if best == NOWHERE:
        return name if said else None
    return best if can_have(best, kind) or shares[best] >= SURE_ALONE else name


def weighed(reading: Reading, board: Board, amount: Amount, kinds: dict[str, float], kept: Sequence[Doubt]) -> Reading:
    """The reading, doubted where it is likely wrong by all that is known of it; where it is likely right, without the
    doubts that only say so of one thing, ``kept`` ones and those of the number's own words excepted. ``kinds`` are the
    shares of those that are possible there."""
    first, last = amount.number_first, amount.number_last
    own = label_of(reading.kind, reading.unit)
    if amount.repeated or own not in kinds:
        return reading
    parted = as_parted(board, first, last)
    role = board.tags.roles(first, last).get(reading.role.value, 0.0)
    shares = {"kind unsure": kinds[own], "role unsure": role, "grouping": parted}
    worst = min(shares, key=shares.__getitem__)
    heard = all(piece.confidence >= LOW_CONFIDENCE and piece.text != UNKNOWN for piece in board.pieces)
    share = share_wrong(features(reading, board, first, last, kinds, parted))
    limit = learned()["kept_from" if reading.doubts else "doubted_from"]
    weak = shares[worst] < (EVEN if heard else SURE_ENOUGH) or parted < SURE_ENOUGH
    if share >= limit or weak:
        return reading if reading.doubts else replace(reading, doubts=(Doubt(worst, WHY[worst]),))
    if not heard or len(board.pieces) <= FEW:
        return reading
    own_words = {why for _, why in amount.doubts}
    stays = (d.code not in OUTWEIGHED or d in kept or d.why in own_words for d in reading.doubts)
    doubts = tuple(doubt for doubt, stay in zip(reading.doubts, stays, strict=True) if stay)
    return replace(reading, doubts=doubts)


def as_parted(board: Board, first: int, last: int) -> float:
    """How likely a number starts at the first of its words and at none that goes on another (pounds and ounces are
    two)."""
    likely = []
    for at in (at for at in range(first, last + 1) if is_number_word(board.pieces[at])):
        before = at - 1
        while board.word(before) in JOINING:
            before -= 1
        share, goes_on = board.tags.start(at), before >= first and is_number_word(board.pieces[before])
        if share is not None:
            likely.append(1 - share if goes_on else share)
    return min(likely, default=1.0)
