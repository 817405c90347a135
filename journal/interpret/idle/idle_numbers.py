"""Numbers of talk beside the work: hours of a hold, sums worked out aloud, questions, sizes, shares off a price.

Each rule names the last token that it takes; they are tried with those of ``lookalikes`` before amounts are claimed.
"""

from __future__ import annotations

from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.unit_table import can_measure
from journal.interpret.board import Board
from journal.interpret.numbers.amounts import unit_at
from journal.interpret.numbers.numbers import Reader
from journal.interpret.numbers.runs import SEPARATORS, groupings, is_number_word
from journal.interpret.vocabulary import small_words, table

HOUR = 60
FIVES = 5  # minutes to which people tell the time
DAY_HOURS = 12
ALIKE = Decimal("1.6")  # an hour read as a pressure is farther than that from the pressure that is watched
SUM_REACH = 8  # words from a sum to what comes out
IN_ROW = 3  # things counted along: 'motors one two three'
GIVEN = 4  # words from 'gave me' to the share that was given


def value_of(board: Board, first: int, behind: int) -> Decimal | None:
    """The one number that tokens ``first`` to ``behind`` - 1 are; ``None`` when they are several or none."""
    ways = groupings(Reader(board.pieces), first, behind) if first < behind else []
    alone = bool(ways) and len(ways[0].numbers) == 1 and not ways[0].left_over
    return ways[0].numbers[0].value if alone else None


def _number_behind(board: Board, at: int, reach: int) -> Decimal | None:
    """The next number within so many words."""
    start = next((n for n in range(at, min(at + reach, len(board.pieces))) if is_number_word(board.pieces[n])), None)
    if start is None:
        return None
    end = start
    while end < len(board.pieces) and (is_number_word(board.pieces[end]) or board.word(end) in SEPARATORS):
        end += 1
    ways = groupings(Reader(board.pieces), start, end)
    return ways[0].numbers[0].value if ways else None


def hour_of_a_hold(board: Board, first: int, behind: int) -> int | None:
    """'now it's nine forty and the gauge says ...', 'three hundred again at ten forty and three hundred at noon'."""
    carried = board.hints.component if board.hints is not None else None
    if not {carried, *(c.value for c in board.labelled("component"))} & set(table("not_readings")["held_at"]):
        return None
    end = next((at for at in range(first, behind) if board.word(at) == "and"), behind)
    value = value_of(board, first, end)
    if value is None or value != int(value) or unit_at(board, end) is not None or board.word(end) != "and":
        return None
    hours, minutes = divmod(int(value), 100)
    if not (0 < hours <= DAY_HOURS and minutes < 60 and minutes % FIVES == 0):
        return None
    led = board.word(first - 1) in small_words("it_is") and board.word(end + 1) in small_words("seen_then")
    again = board.word(first - 1) == "at" and board.word(first - 2) == "again"
    watched = _number_behind(board, end + 1, len(board.pieces))
    if watched is None or not (led or again) or watched / ALIKE <= value <= watched * ALIKE:
        return None
    return end - 1


def sum_aloud(board: Board, first: int, behind: int) -> int | None:
    """'sixty two minus twenty four which is thirty eight': both were read before; else only the sign is none."""
    sign = next((at for at in range(first + 1, behind - 1) if board.word(at) == "minus"), None)
    if sign is None or board.word(behind - 1) == "minus":
        return None
    left, right = value_of(board, first, sign), value_of(board, sign + 1, behind)
    result = _number_behind(board, behind, SUM_REACH)
    if left is None or right is None or result is None or result != abs(left - right):
        return None
    said = board.text(0, first - 1) if first else ""
    if board.text(sign + 1, behind - 1) in said and board.text(first, sign - 1) in said:
        return behind - 1
    board.claim("no reading", sign, sign, "sign of a sum", "sign of a sum")
    return None


def asked_which(board: Board, first: int, behind: int) -> int | None:
    """'is it four hundred or four fifty': a question, and no number of it was read."""
    asked = board.text(first - 2, first - 1) if first > 1 else ""
    if asked not in small_words("which_is_it") or board.word(behind) != "or" or behind + 1 >= len(board.pieces):
        return None
    end = behind + 1
    while end < len(board.pieces) and is_number_word(board.pieces[end]):
        end += 1
    unit = unit_at(board, end)
    return (unit[1] if unit else end - 1) if end > behind + 1 else None


def numbered_along(board: Board, first: int, behind: int) -> int | None:
    """'motors one two three four', 'fans one through four': which of them, each by its number."""
    owner = board.owner[first - 1] if first else None
    digits = table("numbers")["digits"]
    if owner is None or owner.label != "component" or not board.word(owner.last).endswith("s"):
        return None
    if behind == first + 1 and board.word(behind) in small_words("through") and board.word(behind + 1) in digits:
        last = behind + 1
        goes_on = board.word(last + 1) in table("numbers")["points"] or unit_at(board, last + 1) is not None
        return None if goes_on or board.word(first) not in digits else last
    at = first
    while at < behind and digits.get(board.word(at)) == at - first + 1:
        at += 1
    if (
        at == behind - 1
        and at - first >= IN_ROW
        and board.word(at) == "one"
        and board.word(behind) in small_words("one_is")
    ):
        return at  # '... three four, one's not turning'
    parted = at < len(board.pieces) and board.word(at) in table("numbers")["points"]
    return at - 1 if at - first - parted >= IN_ROW and not unit_at(board, at) else None


def class_of_thing(board: Board, first: int, behind: int) -> int | None:
    """'quoting her an eighty percent and a ninety six percent', 'a one twenty coil': which kind of thing."""
    rated = board.word(behind) == "percent" and board.word(behind + 1) in small_words("rated_in_percent")
    if rated and board.word(first - 1) not in small_words("copulas"):
        return behind  # but 'humidity is fifty percent furnace is off'
    if board.word(first - 1) not in table("numbers")["articles"]:
        return None
    if board.word(behind) == "percent":
        after = board.word(behind + 1)
        told = board.word(first - 2) in small_words("copulas") | small_words("taken") | small_words("judging")
        return behind if after in small_words("conjunctions") | small_words("behind_a_class") and not told else None
    owner = board.owner[behind] if behind < len(board.pieces) else None
    electrical = owner is not None and owner.label == "component" and table("components")[owner.value].get("electrical")
    coil = owner is not None and board.word(owner.last) == "coil"
    nominal = value_of(board, first, behind) in table("unsaid")["nominal_volts"]
    return behind - 1 if nominal and (electrical or coil) else None


def off_a_price(board: Board, first: int, behind: int) -> int | None:
    """'the counter man gave me fifteen percent off': what somebody lets one have it for less."""
    off = board.word(behind) == "percent" and board.word(behind + 1) == "off"
    given = {board.word(at) for at in range(max(0, first - GIVEN), first)} & small_words("given")
    return behind + 1 if off and given else None


def size_before(board: Board, first: int, behind: int) -> int | None:
    """'thirty inch blades', 'a hundred pound recovery machine': a unit in the singular goes with the thing behind."""
    word, at = board.word(behind), behind + 1
    if word not in small_words("attributes") | {"pound"} or at >= len(board.pieces):
        return None
    articles = table("numbers")["articles"]
    if word == "pound" and board.word(first) not in articles and board.word(first - 1) not in articles:
        return None
    at += board.owner[at] is None and board.word(at).endswith("ed") and word in small_words("attributes")
    owner = board.owner[at] if at < len(board.pieces) else None
    if owner is not None and owner.label == "component":
        units = [entry["unit"] for entry in table("components")[owner.value].get("unsaid", ())]
        if board.word(owner.last) == "pump" or board.word(owner.last + 1) == "pump":
            return behind  # 'a ninety pound vacuum pump'
        one = board.word(first) == "one" and behind == first + 1 and at == behind + 1
        return behind if not one and not any(can_measure(unit, Kind.PRESSURE) for unit in units) else None
    measured = set(table("not_readings")["measured_in_inches"]) | small_words("of_a_pressure")
    thing = board.word(at).isalpha() and board.word(at) not in measured
    known = any(board.starts(context, at) for context in ("kinds", "units", "unsaid", "trends", "roles", "states"))
    if word == "pound":
        followers = table("unsaid")["followers"]["forms"]
        plain = (owner is None and board.word(at) not in followers) or (
            owner is not None and owner.label == "equipment"
        )
        return behind if plain and thing and not known else None
    return behind if at > behind + 1 and owner is None and board.word(at).endswith("s") and thing else None


def for_so_far(board: Board, first: int, behind: int) -> int | None:
    """'brown for two inches back', 'flat for about a foot along it': how far along."""
    at = first - 1
    at -= board.word(at) in small_words("roughly")
    led = board.word(at) == "for" and board.word(behind) in table("not_readings")["lengths"]
    return behind if led and board.word(behind + 1) in small_words("far_along") else None


def echo(board: Board, first: int, behind: int) -> int | None:
    """'twelve volts twelve what's twelve': the number just read, said again in wonder."""
    if board.word(first - 1) == "what's" or board.text(first - 2, first - 1) == "what 's":
        return behind - 1
    unit = board.ends("units", first - 1) if first else None
    size = behind - first
    again = (
        unit is not None
        and unit.first >= size
        and board.text(unit.first - size, unit.first - 1) == board.text(first, behind - 1)
    )
    asks = board.word(behind) == "what's" or board.text(behind, behind + 1) == "what 's"
    return behind - 1 if again and asks else None


def one_more_thing(board: Board, first: int, behind: int) -> int | None:
    """'a hole before the rack and one in the plenum': another of the things just named."""
    alone = board.text(first, behind - 1) == "one" and unit_at(board, behind) is None
    if not alone or board.word(first - 1) not in small_words("conjunctions"):
        return None
    numbers = any(is_number_word(board.pieces[at]) for at in range(first - 1))
    tied = board.word(behind) in small_words("component_ties") and board.word(behind + 1) in small_words("determiners")
    return first if tied and not numbers and first > 1 else None


def what_it_did(board: Board, first: int, behind: int) -> int | None:
    """'four hundred eighty volts put him through a door': told of what such a voltage does to people."""
    unit = unit_at(board, behind)
    at = (unit[1] + 1) if unit else behind
    at += board.word(at) in small_words("may_do")
    harmed = board.word(at) in small_words("harms") and board.word(at + 1) in small_words("objects_of_telling")
    return at - 1 if harmed else None


def own_habit(board: Board, first: int, behind: int) -> int | None:
    """'i change them at six', 'we replace it at ten percent': when somebody does so, and nothing that was read."""
    if board.word(first - 1) != "at" or board.word(first - 2) not in small_words("them_all"):
        return None
    does = board.word(first - 3) in small_words("does_by_habit") and board.word(first - 4) in small_words("anybody")
    unit = unit_at(board, behind)
    return (unit[1] if unit else behind - 1) if does else None


def part_of_it(board: Board, first: int, behind: int) -> int | None:
    """'so about a third's missing', 'a quarter of the fins are flat': so much of a thing."""
    words = [board.word(at) for at in range(first, behind)]
    one = len(words) == 2 and words[0] in small_words("one_part") and words[1] in table("numbers")["fractions"]
    gone = board.word(behind) in small_words("is_now") and board.word(behind + 1) in small_words("gone")
    return behind - 1 if one and gone else None


def minutes_to(board: Board, first: int, behind: int) -> int | None:
    """'it's thirty seven at twenty to one': the hour, right behind what was read then."""
    to = behind + (board.word(behind) == "minutes")
    if board.word(to) != "to" or board.word(first - 1) != "at" or first < 2:
        return None
    before = is_number_word(board.pieces[first - 2]) or board.ends("units", first - 2) is not None
    minutes, hour = value_of(board, first, behind), table("numbers")["digits"].get(board.word(to + 1))
    hour = hour or table("numbers")["teens"].get(board.word(to + 1))
    after = to + 2
    ends = after >= len(board.pieces) or not (is_number_word(board.pieces[after]) or board.starts("units", after))
    to_five = minutes is not None and minutes % FIVES == 0 and 0 < minutes < HOUR / 2
    if not (before and to_five and hour is not None and hour <= DAY_HOURS and ends):
        return None
    return to + 1 if board.owner[to + 1] is None else to
