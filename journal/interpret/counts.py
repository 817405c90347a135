"""Names, counts and sizes: 'breaker twelve', 'four screws', 'three eighths line'.

A number that belongs to a unit is left alone: 'breaker twelve two forty volts' gives away the 12 only.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from journal.interpret.amounts import unit_at
from journal.interpret.board import Board, Claim
from journal.interpret.numbers import Reader
from journal.interpret.runs import Grouping, groupings, is_number_word, runs
from journal.interpret.vocabulary import small_words, table

PART_NUMBER = "number of a part"
WARMEST = 130  # degrees of a room; a larger number behind its name belongs to the name
MANY = 24  # more bolts or lamps than that are misheard volts or amps
LARGE = 100  # a breaker's or door's own number stays below it
LARGEST = Decimal("4.125")  # inches of the widest tube in the trade (common practice)
MOST_VERBS = 2  # 'is pulling'
MOST_TENTHS = 2  # 'oh five' may be half of something, 'oh five two' is none
ZERO_TO_NINE = frozenset((*table("numbers")["zeros"], *table("numbers")["digits"]))
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
    if not (led_by(board, ("not named",), first) or _labelled(board, first)):
        return
    if board.word(first - 1) == "at" and board.ends("not named", first - 1) is None and not _labelled(board, first):
        return  # 'the reach in by the door is at forty'
    at = first - 1
    while board.word(at) in small_words("copulas"):
        at -= 1
    if at < first - 1 and board.ends("unsaid", at) is not None:
        return  # 'the room's seventy eight', 'the room's at eighty one'
    if at < first - 1 and _only_beside(board, at):
        return  # 'the target on the card behind the panel is nine'
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
    one = owner is not None and owner.label == "component" and behind == first + 1 and board.word(first) in digits
    if one and board.word(behind) == "'s":
        return True  # 'fan two's two point two'
    return one and _number_told(board, behind)


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
        single = len(board.word(at)) == 1 and board.word(at).isalpha() and board.word(at) not in ("a", "i")
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
    if not unit and ways and ways[0].numbers[0].form == "decimal" and _number_tied_to(board, first):
        return first  # 'point eight on pole one point two on pole two': a name has no tenths
    if not unit:
        return _room_ends(board, first, ways) or behind - 1
    if board.word(first - 1) in small_words("copulas"):
        return None
    for way in ways:
        if way.cost - ways[0].cost > NEAR or _parts_tens(board, way.numbers[0].last):
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


def _number_tied_to(board: Board, first: int) -> bool:
    """'... eight on pole' before the number of the pole: it is where the number before it was read."""
    tied = first > 2 and board.word(first - 2) in small_words("part_of")
    return tied and is_number_word(board.pieces[first - 3])


def in_turn(board: Board, item: Claim) -> bool:
    """'number three's at thirteen', 'second one's', 'second's twenty one': one of several things, and its number."""
    at = item.first - 1
    verbs = set(table("unsaid")["placing"]) | set(table("unsaid")["verbs"]["forms"])
    verbs |= {"also", "too"}
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


def _parts_tens(board: Board, last: int) -> bool:
    """'sixty one' is never the name 60 and a 1."""
    return board.word(last) in table("numbers")["tens"] and board.word(last + 1) in table("numbers")["digits"]


def claim_counts(board: Board) -> None:
    """Numbers of things and sizes of parts: 'four screws', 'three eighths line', 'two by four'."""
    free = [owner is None for owner in board.owner]
    for first, behind in runs(board.pieces, free):
        if unit_at(board, behind, close=False) is not None and not _size_unit(board, behind):
            continue
        if not board.free(first, behind - 1):
            continue  # the second of 'two of three'
        whole = _of_so_many(board, first, behind)
        if whole is not None:
            board.claim("no reading", first, whole, "count", "so many of so many")
            continue
        place = _size_unit(board, behind) or behind
        if _numbered_part(board, first, behind):
            board.claim("no reading", first, behind - 1, "name", "a number with a zero in front names the part")
            continue
        weak = board.starts("weak units", behind)
        ways = groupings(Reader(board.pieces), first, behind)
        if weak is not None and ways and ways[0].numbers[-1].value > MANY:
            continue
        value = ways[0].numbers[-1].value if ways else None
        counted = _is_counted(board, place) or _counts_parts(board, place, value)
        if (counted or _one_part(board, first, behind)) and place == behind:
            board.claim("no reading", _counting(board, ways, first, behind), behind - 1, "count", "a number of things")
        elif _part_follows(board, place) and (place > behind or _is_size(board, first, behind, ways)):
            board.claim("no reading", first, place - 1, "size", "size of a part")


def _of_so_many(board: Board, first: int, behind: int) -> int | None:
    """'fans two of three turning', 'evap fans 3 of 3': so many of so many; the last token of them."""
    at = behind + 1
    if board.word(behind) != "of" or board.owner[behind] is not None or at >= len(board.pieces):
        return None
    part, all_ = (_small(board, first, behind), _small(board, at, at + 1))
    if part is None or all_ is None or part > all_ or unit_at(board, at + 1) is not None:
        return None
    last = at + 1 == len(board.pieces) or not is_number_word(board.pieces[at + 1])
    return at if last else None


def _small(board: Board, first: int, behind: int) -> int | None:
    """A number of things in one word: 'three', '3'."""
    piece = board.pieces[first]
    if behind != first + 1 or board.owner[first] is not None:
        return None
    value = piece.number if piece.number is not None else table("numbers")["digits"].get(piece.text)
    return int(value) if value is not None and value == int(value) and value <= MANY else None


def _numbered_part(board: Board, first: int, behind: int) -> bool:
    """'hand me an oh five two drier': digits that open with a zero right before a part are its maker's number."""
    owner = board.owner[behind] if behind < len(board.pieces) else None
    zero = board.word(first) in table("numbers")["zeros"] and behind - first > MOST_TENTHS
    digits = all(board.word(at) in ZERO_TO_NINE for at in range(first, behind))
    if zero and digits and board.word(first - 1) == "an":
        return True
    return zero and digits and owner is not None and owner.label == "component" and not _valued(board, owner)


def _valued(board: Board, part: Claim) -> bool:
    """A verb or a number behind the part: it is spoken of, and the number before it may be of another."""
    at = part.last + 1
    verb = board.word(at) in table("unsaid")["verbs"]["forms"]
    return verb or (at < len(board.pieces) and is_number_word(board.pieces[at]))


def _is_counted(board: Board, at: int) -> bool:
    """A thing that is counted follows; 'by' and 'x' only before another number ('two by four')."""
    hit = board.starts("not counted", at)
    if hit is None or board.word(at) not in table("not_readings")["times_over"]:
        return hit is not None
    return at + 1 < len(board.pieces) and is_number_word(board.pieces[at + 1])


def _one_part(board: Board, first: int, behind: int) -> bool:
    """'that's one contactor two fuses': a part counted, not a number measured at it."""
    owner = board.owner[behind] if behind < len(board.pieces) else None
    if behind != first + 1 or board.word(first) != "one" or owner is None or owner.label != "component":
        return False
    body = table("components")[owner.value]
    free = first == 0 or board.owner[first - 1] is None or board.owner[first - 1].label == "no reading"  # type: ignore[union-attr]
    return bool(body.get("electrical")) and free


def _counts_parts(board: Board, at: int, value: Decimal | None) -> bool:
    """'two evaporators', 'three bad caps', 'two good ones': things, an adjective before them or not."""
    part = board.owner[at] if at < len(board.pieces) else None
    if part is not None and part.label == "component" and part.first == at:
        several = board.word(part.last).endswith("s") and not table("components")[part.value].get("first")
        return several and value is not None and value == int(value) and 0 < value <= MANY and not _valued(board, part)
    if board.word(at) not in table("not_readings")["adjectives"]:
        return False
    owner = board.owner[at + 1] if at + 1 < len(board.pieces) else None
    things = owner is not None and owner.label == "component" and board.word(owner.last).endswith("s")
    return things or board.word(at + 1) == "ones" or board.starts("not counted", at + 1) is not None


def _counting(board: Board, ways: Sequence[Grouping], first: int, behind: int) -> int:
    """The first token of what counts: 'two oh eight two thirty three phase' counts three phases."""
    if board.word(behind) in table("not_readings")["few"]:
        return behind - 1
    return ways[0].numbers[-1].first if ways else first


def _size_unit(board: Board, at: int) -> int | None:
    """The token behind a unit of size ('inch', 'ton', 'pound', 'gauge') when a part follows."""
    if board.word(at) == "degree":
        return at + 1 if board.starts("not nominal", at + 1) else None
    if board.word(at) in table("not_readings")["size_units"] and board.starts("not sized", at + 1):
        return at + 1
    return None


def _part_follows(board: Board, at: int) -> bool:
    """A word for a part, which is not the first half of a pair of points ('two and a quarter run to start')."""
    owner = board.owner[at] if at < len(board.pieces) else None
    return followed_by(board, ("not sized",), at) and (owner is None or owner.label != "points")


def _is_size(board: Board, first: int, behind: int, ways: Sequence[Grouping]) -> bool:
    """Fractions of an inch and plain voltages or numbers in front of a part: 'seven eighths suction', 'two twenty
    unit'."""
    hit = board.starts("not sized", behind)
    nominal = board.starts("not nominal", behind)
    if nominal is not None and first and board.word(first - 1) not in table("not_readings")["introducing"]:
        nominal = None
    fraction = any(
        piece.text in table("numbers")["fractions"] or piece.text == "/" for piece in board.pieces[first:behind]
    )
    fraction = fraction and not (ways and ways[0].numbers[-1].value > LARGEST)
    return hit is not None and (fraction or nominal is not None)
