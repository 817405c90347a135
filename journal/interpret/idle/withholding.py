"""Numbers without a unit that count something: followed by an unknown word, or led by an article."""

from __future__ import annotations

from functools import cache

from journal.domain.reading import Role
from journal.interpret.board import Board, Claim
from journal.interpret.document import STOPS, UNKNOWN
from journal.interpret.numbers.amounts import Amount, degree_forms, degrees, unit_body
from journal.interpret.standing.clauses import clause_starts
from journal.interpret.standing.derived import is_operand
from journal.interpret.standing.durations import said_still
from journal.interpret.standing.roles import Stand
from journal.interpret.standing.second_look import is_read
from journal.interpret.vocabulary import small_words, table

KNOWN = (
    "components",
    "points",
    "sides",
    "kinds",
    "conditions",
    "trends",
    "phases",
    "roles",
    "roles behind",
    "states",
    "corrections replace",
    "corrections withdraw",
    "corrections place",
    "corrections weak",
    "unsaid",
    "units",
    "equipment",
    "findings",
    "same points",
    "groups",
    "hedges after",
    "hedges at_least_after",
    "hedges at_most_after",
    "work",
    "notes",
)

LATER_REACH = 4  # words from 'it's' back to 'later' or 'now'
FEW_THINGS = 12  # more of them are hardly counted right behind a place that has readings
WIDEST = 2  # inches of a tube that is called by its eighths alone
ANGLE_REACH = 4  # words between 'bent' or 'turn' and the degrees


@cache
def _followers() -> frozenset[str]:
    return frozenset(table("unsaid")["followers"]["forms"])


def no_reading(board: Board, item: Claim) -> bool:
    """Return whether a number without a unit counts things rather than reads a meter."""
    amount: Amount = item.value
    if is_operand(board, item) or _is_deviation(board, item):
        return True
    if amount.unit == degrees() and _is_angle(board, item):
        return True
    if _is_factor(board, item):
        return True
    if amount.unit in (None, "kiloohm") and board.word(amount.number_first) in table("numbers")["repeat"]:
        return True
    if amount.unit is None and is_read(board, amount):
        return False  # of 66 numbers that the rules below count, 54 were read
    led = board.word(amount.number_first - 1) in small_words("before_a_size")
    if unit_body(amount.unit).get("role") == "nameplate" and led:
        return not _of_part(board, item)
    if amount.unit is not None and amount.unit_form == "amp" and _poles_behind(board, item):
        return True
    if amount.unit is not None or amount.difference or amount.key < 0:
        return False  # things are never counted below zero
    whole = amount.value is not None and amount.value == int(amount.value)
    if whole and board.word(item.first - 1) in table("unsaid")["counting"] and not _several_places(board, item):
        return True
    if _is_a(board, item) and not amount.size:
        return True
    zero = board.word(item.first - 1) in table("numbers")["zeros"]
    the_new = board.word(item.first - 2 - zero) in small_words("determiners")  # 'put the new forty five five in it'
    if (whole or the_new) and board.word(item.first - 1 - zero) in table("unsaid")["naming"] and not amount.size:
        return True
    bare = board.word(amount.number_last) in table("numbers")["fractions"] and amount.key < 1
    half = board.text(amount.number_first, amount.number_last) == "half"
    if (
        amount.form == "fraction"
        and bare
        and (_how_far(board, item) or (half and (not _placed(board, item) or _is_half_of(board, item))))
    ):
        return True
    if whole and board.word(item.last + 1) in table("unsaid")["counted_by"] and not _placed(board, item):
        return True
    if whole and board.word(item.last + 1) == "of" and board.word(item.last + 2) in small_words("of_people"):
        return True
    if whole and _feeds(board, item) and not _placed(board, item):
        return True
    if amount.form == "fraction" and _of_a_tube(amount) and not _in_inches(board):
        return True
    at = item.last + 1
    if at >= len(board.pieces) or board.owner[at] is not None:
        return False
    word = board.word(at)
    if (
        word.endswith(tuple(small_words("no_thing_endings")))
        or (word in small_words("closes") and any(piece.text == "open" for piece in board.pieces[: item.first]))
        or word in _followers()
        or word in small_words("anybody")
        or word in STOPS
        or word == UNKNOWN
        or not word.isalpha()
    ):
        return False
    if not whole or word in table("conditions")["drops_behind"] or any(board.starts(context, at) for context in KNOWN):
        return False
    # 'it's nine hundred come on', but 'that is one worry fewer'
    told = board.word(item.first - 1) in small_words("copulas") and amount.key > FEW_THINGS
    placed = _placed(board, item)
    if word.endswith("s") and not word.endswith("ss"):  # 'subcooling nine glass clear'
        return not (placed and amount.key > FEW_THINGS)  # 'box is thirty eight doors are shut'
    return not (told or placed or _several_places(board, item))


def _is_factor(board: Board, item: Claim) -> bool:
    """'you times it by two point three one': one calculates with it, and nothing showed it."""
    led = board.word(item.first - 1) == "by"
    return led and any(board.word(item.first - back) in small_words("factors") for back in (2, 3))


def _is_a(board: Board, item: Claim) -> bool:
    """'the drier is a one sixty four', 'unit seven's a seven and a half': which one it is, of those that are made."""
    verb, article = board.word(item.first - 2), board.word(item.first - 1)
    if article not in table("numbers")["articles"] or verb not in small_words("copulas"):
        return False
    before = [claim for claim in board.labelled("component") if claim.last < item.first]
    named = [claim.value for claim in before] or [board.hints.component if board.hints is not None else None]
    rated = any(table("components")[name].get("electrical") for name in named if name is not None)
    return not rated and not any(hit.last < item.first for hit in board.hits.get("kinds", ()))


def _is_deviation(board: Board, item: Claim) -> bool:
    """'fifty too much', 'thirty pounds too high', 'one degree off so ...': how far off something is, and no value."""
    behind = item.last + 1
    words = table("not_readings")
    too = board.word(behind) == "too" and board.word(behind + 1) in words["too"]
    last = behind == len(board.pieces) - 1 or board.word(behind + 1) in words["off_ends"]
    off = board.word(behind) in words["off_by"] and last and item.value.unit_form in degree_forms()
    off = off and board.owner[behind] is None  # but 'it's eighty eight degrees out': outside
    than = board.text(behind, behind + 1) in words["other_than"] and item.value.unit is not None
    return (off and _is_instrument(board, item)) or ((too or off or than) and not _placed(board, item))


def _is_instrument(board: Board, item: Claim) -> bool:
    """'my thermometer is two degrees off', 'the display's three degrees out': told of what shows the number."""
    at = item.first - 1
    while at > 0 and board.owner[at] is None and board.word(at) in small_words("copulas"):
        at -= 1
    return board.word(at) in (*table("clauses")["instruments"], *small_words("showing_devices"))


def _of_a_tube(amount: Amount) -> bool:
    """'seven eighths on the suction', 'an inch and an eighth': no gauge is read in eighths, tubes are sized in them."""
    value = amount.value
    return value is not None and value < WIDEST and (value * 16) % 1 == 0 and (value * 4) % 1 != 0


def _in_inches(board: Board) -> bool:
    """'static's three eighths': at ducts and gas manifolds a part of an inch is a pressure."""
    parts = table("components")
    return any(
        entry["unit"] == "inch_H2O" for c in board.labelled("component") for entry in parts[c.value].get("unsaid", ())
    )


def _how_far(board: Board, item: Claim) -> bool:
    """'the condenser's half plugged', 'tag's half painted over': how far something is, no number of it."""
    at = item.last + 1 + (board.word(item.last + 1) in small_words("is_or_was"))
    if board.word(at) in table("not_readings")["shares"]:
        return True  # 'about a third's missing'
    return (
        at == item.last + 1
        and board.word(at).endswith("ed")
        and not (board.starts("roles", at) or board.starts("roles behind", at))
    )


def _is_half_of(board: Board, item: Claim) -> bool:
    """'the herm half is tired', 'it's the compressor half that's gone': one of two halves."""
    owner = board.owner[item.first - 1] if item.first else None
    named = owner is not None and owner.label in ("component", "points")
    return named and owner is not None and board.word(owner.first - 1) in small_words("determiners")


def _is_angle(board: Board, item: Claim) -> bool:
    """'turn it ninety degrees' is an angle, 'a half turn out and the superheat is nine degrees' none."""
    near = range(item.first - ANGLE_REACH, item.last + ANGLE_REACH)
    return not set(table("not_readings")["angles"]).isdisjoint(board.word(at) for at in near)


def _feeds(board: Board, item: Claim) -> bool:
    """'nine and eleven feed the air handler': breakers, named by their numbers up to the verb."""
    at = item.last + 1
    while at + 1 < len(board.pieces):
        ahead = at + (board.word(at) in small_words("breaker_joins"))
        owner = board.owner[ahead]
        if owner is None or owner.label != "amount" or owner.value.unit is not None:
            break
        at = owner.last + 1
    return board.word(at) in table("unsaid")["feeding"] and board.word(at + 1) in small_words("determiners")


def _poles_behind(board: Board, item: Claim) -> bool:
    """'with a thirty amp two pole': which part it is, with no name of the part behind."""
    at = item.last + 1
    owner = board.owner[at] if at < len(board.pieces) else None
    counted = owner is not None and owner.label == "no reading"
    few = board.word(owner.last + 1 if counted and owner is not None else at + 1)
    behind = board.owner[at + 2] if at + 2 < len(board.pieces) else None
    return few in table("not_readings")["few"] and (behind is None or behind.label != "component")


def _of_part(board: Board, item: Claim) -> bool:
    """'a five horse condensing unit' is that part's size; 'a four ton wants sixteen hundred' names the machine."""
    behind = board.owner[item.last + 1] if item.last + 1 < len(board.pieces) else None
    return behind is not None and behind.label == "component"


def _several_places(board: Board, item: Claim) -> bool:
    """'l one to l three and l two to l three i get the one eighteen one seventeen': points were named for it."""
    return any(claim.last < item.first for claim in board.labelled("points"))


def _placed(board: Board, item: Claim) -> bool:
    """A place or a kind stands right before the number, with nothing but a verb between: then an odd word behind it
    does not make it a count."""
    at = item.first - 1
    verbs = set(table("unsaid")["placing"])
    while at >= 0 and item.first - at <= 3 and board.owner[at] is None and board.word(at) in verbs:
        at -= 1
    owner = board.owner[at] if at >= 0 else None
    if board.word(item.first - 1) == "to" and _moved(board, item.first - 1):
        return True  # 'it sags to two oh six and climbs back to two thirty two come on'
    topic = board.ends("unsaid", at)
    cue = board.ends("roles", item.first - 1)
    if cue is not None and cue.name == "measured" and board.word(cue.last) in small_words("stays_at"):
        return True  # 'she's sitting at thirty seven poor thing'
    if said_still(board, item) or _later(board, item) or (cue is not None and cue.name in ("setting", "expected")):
        return True  # 'still two ninety gauge is steady', 'set for forty defrost is at noon'
    return (owner is not None and owner.label in ("component", "kind", "points")) or topic is not None


def _moved(board: Board, to: int) -> bool:
    """'climbs back to', 'dropped to': a verb of moving shortly before the 'to'."""
    return any(board.word(to - back) in small_words("moves_it") for back in (1, 2))


def _later(board: Board, item: Claim) -> bool:
    """'twenty minutes later it's nine hundred come on': what was read before, at another time."""
    led = board.word(item.first - 1) in small_words("it")
    return led and any(board.word(item.first - 1 - n) in small_words("times_on") for n in range(1, LATER_REACH))


def is_to_be_ordered(board: Board, item: Claim, stand: Stand) -> bool:
    """'a forty amp disconnect i still have to order': the size of a part that is not there yet."""
    if _in_an_order(board, item, stand) or _fetched(board, item):
        return True
    owner = board.owner[item.last + 1] if item.last + 1 < len(board.pieces) else None
    if owner is None or owner.label != "component" or board.word(item.last).endswith("s"):
        return False
    return any(c.label == "work" and c.value.action == "ordered" and c.first > owner.last for c in board.claims)


def _fetched(board: Board, item: Claim) -> bool:
    """'grab a forty amp three pole breaker out of the van': the size of a part that is to be fetched."""
    led = (
        board.word(item.first - 2) in small_words("fetching")
        and board.word(item.first - 1) in table("numbers")["articles"]
    )
    at = item.last + 1
    counted = board.owner[at] if at < len(board.pieces) else None
    if counted is not None and counted.label == "no reading":
        at = counted.last + 1 + (board.word(counted.last + 1) in table("not_readings")["few"])
    owner = board.owner[at] if at < len(board.pieces) else None
    return led and owner is not None and owner.label == "component" and not item.value.unit_form.endswith("s")


def _in_an_order(board: Board, item: Claim, stand: Stand) -> bool:
    """'i've got to order a run cap thirty five five three seventy': what is told of a part behind the verb, up to the
    next statement, says which part."""
    if stand.said and stand.role is Role.MEASURED:
        return False
    walls, verbs = clause_starts(board), table("unsaid")["verbs"]["forms"]
    for work in (c for c in board.labelled("work") if c.value.action == "ordered" and c.last < item.first):
        behind = range(work.last + 1, item.first)
        article = board.word(work.last) in small_words("determiners") or board.word(work.last + 1) in (
            small_words("determiners")
        )
        told = any(board.word(at) in verbs and board.owner[at] is None for at in behind)
        if article and not told and not any(at in walls for at in behind):
            return True
    return False
