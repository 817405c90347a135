"""Numbers that name a thing: 'breaker twelve', 'number four', 'heaters one two and three', 'condenser fan six'.

A number that belongs to a unit is left alone: 'breaker twelve two forty volts' gives away the 12 only.
"""

from __future__ import annotations

from collections.abc import Sequence

from journal.interpret.board import Board, Claim
from journal.interpret.numbers.amounts import unit_at
from journal.interpret.numbers.numbers import Reader
from journal.interpret.numbers.runs import Grouping, groupings, is_number_word
from journal.interpret.vocabulary import small_words, table

PART_NUMBER = "number of a part"
WARMEST = 130  # degrees of a room; a larger number behind its name belongs to the name
LARGE = 100  # a breaker's or door's own number stays below it
MOST_VERBS = 2  # 'is pulling'
NEAR = 1.3  # cost of parting a name's number from the reading behind it
LINKS = frozenset(table("not_readings")["links"])


def led_by(board: Board, contexts: tuple[str, ...], first: int) -> bool:
    """Return whether a phrase of some contexts stands right before a token, links between them allowed."""
    at = first - 1
    for _ in range(3):
        if any(board.ends(context, at) for context in contexts):
            return True
        word = board.word(at)
        if word not in LINKS and not (contexts == ("not named",) and len(word) == 1 and word.isalpha()):
            return False
        at -= 1
    return False


def followed_by(board: Board, contexts: tuple[str, ...], at: int) -> bool:
    return any(board.starts(context, at) for context in contexts)


def claim_named(board: Board, first: int, behind: int) -> None:
    """A number behind a word that takes names: 'breaker twelve', 'number four', 'circuits nine and eleven'."""
    if _several_parts(board, first, behind):
        board.claim("no reading", first, behind - 1, "name", "numbers of several parts")
        return
    if _numbered_before_decimal(board, first, behind):
        board.claim("no reading", first, first, "name", PART_NUMBER)
        return
    if _counted_on(board, first, behind):
        board.claim("no reading", first, first, "name", PART_NUMBER)
        return
    bare = board.word(first - 1) in small_words("bare_names") and unit_at(board, behind) is None
    if not (bare or led_by(board, ("not named",), first) or _labelled(board, first)):
        return
    if board.word(first - 1) == "at" and board.ends("not named", first - 1) is None and not _labelled(board, first):
        return  # 'the reach in by the door is at forty'
    cue = board.ends("roles", first - 1)
    if cue is not None and cue.last > cue.first and cue.name == "expected":
        return  # 'i figure two and a half on a clean coil' is no figure of a book
    at = first - 1
    while board.word(at) in small_words("copulas"):
        at -= 1
    if at < first - 1 and board.ends("unsaid", at) is not None:
        return  # 'the room's seventy eight', 'the room's at eighty one'
    if at < first - 1 and (_only_beside(board, at) or _place_of_a_part(board, at)):
        return  # 'the target on the card behind the panel is nine', 'pulp in the middle pallet is fifty eight'
    named = board.owner[first - 1]
    if named is not None and named.label == "equipment" and named.last > named.first:
        return  # 'prep table forty' is no table with a number
    poles = board.ends("unsaid", first - 1)
    if poles is not None and poles.name == "poles":
        return  # 'a double pole forty'
    last = _name_ends(board, first, behind)
    if last is not None and _is_part_with_value(board, first, last):
        return
    if last == behind - 1:
        last = _spelled_on(board, last)
    if last is not None:
        board.claim("no reading", first, last, "name", "number of a thing, not of a meter")


def _only_beside(board: Board, at: int) -> bool:
    """'behind the panel is', 'inside the door's': the word only says where something is, and takes no number."""
    return board.word(at - 1) in small_words("determiners") and board.word(at - 2) in small_words("beside")


def _place_of_a_part(board: Board, at: int) -> bool:
    """'pulp in the middle pallet is': the word says where a part is, and the part is what was read."""
    for place in range(at - 1, max(0, at - 4), -1):
        owner = board.owner[place - 1]
        if board.word(place) in small_words("component_ties") and owner is not None and owner.label == "component":
            return True
    return False


def _labelled(board: Board, first: int) -> bool:
    """'part number on that contactor is four two nine': a label, the thing it stands on, the number."""
    at = first - 1
    while at >= 0 and board.word(at) in LINKS:
        at -= 1
    part = board.owner[at] if at >= 0 else None
    at = part.first - 1 if part is not None and part.label in ("component", "equipment") else at - 1
    while at >= 0 and (board.word(at) in LINKS or board.word(at) in small_words("determiners")):
        at -= 1
    label = board.ends("not labels", at - 1)
    return label is not None and board.word(at) in small_words("part_of") | small_words("component_ties")


def _several_parts(board: Board, first: int, behind: int) -> bool:
    """'heaters one two and three are ...': the numbers name the parts."""
    owner = board.owner[first - 1] if first else None
    plural = owner is not None and owner.label == "component" and board.word(first - 1).endswith("s")
    digits = table("numbers")["digits"]
    small = all(board.word(at) in digits or board.word(at) == "and" for at in range(first, behind))
    if plural and small and board.word(behind) in small_words("all_of_them"):
        return True
    part = owner is not None and owner.label == "component"
    part = part or (owner is None and board.word(first - 1) in small_words("numbered_things"))
    one = part and behind == first + 1 and board.word(first) in digits
    if one and board.word(behind) == "'s":
        return True  # 'fan two's two point two'
    if one and not plural and _told_of(board, behind):
        return True
    return one and _number_told(board, behind)


def _told_of(board: Board, at: int) -> bool:
    """'condenser fan six it's turning', 'outside fan two dead': a state or a statement of the part, not its amps."""
    if at < len(board.pieces) and board.owner[at] is not None:
        return False
    said = any(board.starts(context, at) is not None for context in ("states", "findings"))
    goes_on = board.word(at) == "is" and board.word(at + 1).endswith("ing")  # 'fan five is humming'
    return said or goes_on or board.word(at) in small_words("states_of_it")


def _number_told(board: Board, at: int) -> bool:
    """'fan two is pulling one point one': a verb or two, and the number that was read."""
    verbs = table("unsaid")["verbs"]["forms"]
    at_verb = at
    while at < len(board.pieces) and at - at_verb < MOST_VERBS and board.word(at) in verbs:
        at += 1
    cue = board.starts("roles", at) if at > at_verb else None
    at = cue.last + 1 if cue is not None else at  # 'control two is set at twenty'
    return at > at_verb and at < len(board.pieces) and is_number_word(board.pieces[at])


def _numbered_before_decimal(board: Board, first: int, behind: int) -> bool:
    """'condenser fan two one point six amps': nobody says 'two one' for twenty one, so the first counts the parts."""
    owner = board.owner[first - 1] if first else None
    digits = table("numbers")["digits"]
    if owner is None or owner.label != "component" or not table("components")[owner.value].get("turns"):
        return False
    if board.word(owner.last).endswith("s"):
        return False  # 'fans one one point six two one point five': where each number ends cannot be told
    point = first + 2 < behind and board.word(first + 2) in table("numbers")["points"]
    return point and board.word(first) in digits and board.word(first + 1) in digits


def _counted_on(board: Board, first: int, behind: int) -> bool:
    """'evaporator one twenty eight evaporator two thirty': the same word before 'one' and 'two' numbers what it names.

    Voltages are left alone: 'contactor one twenty ... contactor two forty volts' are two readings of one.
    """
    digits, zeros = table("numbers")["digits"], table("numbers")["zeros"]
    word, own = board.word(first - 1), digits.get(board.word(first))
    owner = board.owner[first - 1] if first else None
    part = owner is not None and owner.label == "component" and owner.value not in small_words("unnumbered")
    part = part or (owner is None and word in small_words("numbered_things"))
    goes_on = behind > first + 1 and board.word(first + 1) not in (*zeros, *table("numbers")["scales"])
    unit = unit_at(board, behind)
    if not (own and part and goes_on) or (unit is not None and unit[0] == "volt"):
        return False
    if board.word(first + 1) in table("numbers")["points"]:
        return False
    others = (at for at in range(1, len(board.pieces)) if board.word(at - 1) == word and at != first)
    return any(abs(int(digits.get(board.word(at), own)) - int(own)) == 1 for at in others)


def _is_part_with_value(board: Board, first: int, last: int) -> bool:
    """'line one and line three of the breaker four eighty six': a part that can be measured, points, a large number."""
    ways = groupings(Reader(board.pieces), first, last + 1)
    owner = board.owner[first - 1]
    part = owner is not None and owner.label == "component"
    points = any(claim.last < first for claim in board.labelled("points"))
    return part and points and bool(ways) and ways[0].numbers[0].value >= LARGE


def _spelled_on(board: Board, last: int) -> int:
    """A name goes on through letters and digits: 'number double two m t six'."""
    at = last + 1
    while at < len(board.pieces) and board.owner[at] is None:
        if board.word(at) in table("plates")["symbols"] and at + 1 < len(board.pieces):
            at += 1
            continue
        single = (
            len(board.word(at)) == 1 and board.word(at).isalpha() and board.word(at) not in small_words("no_letters")
        )
        if not (single or is_number_word(board.pieces[at])) or unit_at(board, at) is not None:
            break
        at += 1
    return at - 1


def _name_ends(board: Board, first: int, behind: int) -> int | None:
    """Return the last token of a name's number; none when the words are an amount of their own."""
    unit = unit_at(board, behind) is not None
    ways = groupings(Reader(board.pieces), first, behind, keep=10)
    owner = board.owner[first - 1]
    part = owner is not None and owner.label == "component"
    if part and ways and ways[0].numbers[0].form == "decimal":
        return None  # 'both wires nineteen point nine'
    if not unit and ways and ways[0].numbers[0].form == "decimal" and _named_by_digit(board, first):
        return first  # 'number three point nine': a name has no tenths
    if not unit and ways and ways[0].numbers[0].form == "decimal" and _number_tied_to(board, first):
        return first  # 'point eight on pole one point two on pole two': a name has no tenths
    if not unit:
        return _room_ends(board, first, ways) or behind - 1
    if board.word(first - 1) in small_words("copulas"):
        return None
    for way in ways:
        if way.cost - ways[0].cost > NEAR or parts_tens(board, way.numbers[0].last):
            continue
        if len(way.numbers) > 1 and way.numbers[0].value == int(way.numbers[0].value) and not way.left_over:
            return way.numbers[0].last
    return None


def _room_ends(board: Board, first: int, ways: Sequence[Grouping]) -> int | None:
    """'room two ten seventy one': the room's number, and the one that was read in it."""
    if board.word(first - 1) not in small_words("rooms") or not ways or len(ways[0].numbers) != 2:
        return None
    room, value = ways[0].numbers
    flows = board.hints is not None and board.hints.unit == "cubic_foot_per_minute"
    read = value.form in ("pair", "words") and (flows or value.value < WARMEST)
    return room.last if room.form == "pair" and read and not ways[0].left_over else None


def _named_by_digit(board: Board, first: int) -> bool:
    """'number three': a word that says so, a digit, and then a point."""
    digit = board.word(first) in table("numbers")["digits"]
    return digit and board.word(first + 1) in table("numbers")["points"] and board.word(first - 1) == "number"


def _number_tied_to(board: Board, first: int) -> bool:
    """'... eight on pole' before the number of the pole: it is where the number before it was read."""
    tied = first > 2 and board.word(first - 2) in small_words("part_of")
    return tied and is_number_word(board.pieces[first - 3])


def in_turn(board: Board, item: Claim) -> bool:
    """'number three's at thirteen', 'second one's', 'second's twenty one': one of several things, and its number."""
    at = item.first - 1
    verbs = set(table("unsaid")["placing"]) | set(table("unsaid")["verbs"]["forms"]) | small_words("likewise")
    while at >= 0 and item.first - at <= 3 and board.owner[at] is None and board.word(at) in verbs:
        at -= 1
    owner = board.owner[at] if at >= 0 else None
    named = owner is not None and owner.label == "no reading" and owner.value in ("pronoun", "name")
    return named or (owner is None and board.word(at) in table("not_readings")["dates"]["ordinals"])


def at_name(board: Board, item: Claim) -> bool:
    """'half a volt on pole two': a preposition ties the number to a thing with a name."""
    owners = (board.owner[at] for at in range(item.last + 2, min(item.last + 5, len(board.pieces))))
    tied = board.word(item.last + 1) in small_words("part_of")
    return tied and any(owner is not None and owner.label == "no reading" and owner.value == "name" for owner in owners)


def parts_tens(board: Board, last: int) -> bool:
    """'sixty one' is never the name 60 and a 1."""
    return board.word(last) in table("numbers")["tens"] and board.word(last + 1) in table("numbers")["digits"]
