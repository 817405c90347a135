"""Numbers that stand like readings and are none: a meter's range, a distance along a pipe, goods by weight, how far
values lie apart, letters and digits of a name, 'the weak one'.

Claimed before amounts, since most of them have a unit.
"""

from __future__ import annotations

from collections.abc import Callable

from journal.domain.kind import Kind
from journal.domain.unit_table import can_measure, unit_table
from journal.interpret.board import Board
from journal.interpret.document import STOPS
from journal.interpret.idle import apart, idle_numbers
from journal.interpret.idle.number_names import followed_by
from journal.interpret.idle.withholding import KNOWN
from journal.interpret.numbers.amounts import unit_at
from journal.interpret.numbers.number_words import fractions_at
from journal.interpret.numbers.runs import SEPARATORS, is_number_word, runs
from journal.interpret.vocabulary import small_words, table

METERED = (Kind.VOLTAGE, Kind.CURRENT, Kind.RESISTANCE, Kind.CAPACITANCE)
Rule = Callable[[Board, int, int], int | None]
BACK = 3  # words from 'one' back to its article: 'the big old one'
NAMED_BY = ("roles", "kinds", "points", "unsaid", "components")


def claim_lookalikes(board: Board) -> None:
    """Claim numbers that only look like readings; each rule names the last token it takes."""
    free = [owner is None for owner in board.owner]
    rules: tuple[tuple[Rule, str], ...] = (
        (idle_numbers.sum_aloud, "worked out aloud"),
        (idle_numbers.hour_of_a_hold, "time of day"),
        (idle_numbers.minutes_to, "time of day"),
        (idle_numbers.what_it_did, "told, not read"),
        (idle_numbers.own_habit, "a habit"),
        (apart.off_by, "how far off a value is"),
        (idle_numbers.part_of_it, "so much of a thing"),
        (idle_numbers.asked_which, "asked, not read"),
        (idle_numbers.echo, "said again in wonder"),
        (apart.too_much, "how far off a value is"),
        (apart.other_than, "how far off a value is"),
        (apart.moved_by, "how far a value moved"),
        (idle_numbers.numbered_along, "name"),
        (idle_numbers.off_a_price, "money"),
        (idle_numbers.class_of_thing, "size of a thing"),
        (idle_numbers.size_before, "size of a thing"),
        (idle_numbers.for_so_far, "distance"),
        (apart.below_a_place, "how far values lie apart"),
        (idle_numbers.one_more_thing, "words that count nothing"),
        (_range_of_meter, "range of a meter"),
        (_test_voltage, "test voltage"),
        (_distance, "distance"),
        (_dimension, "size of a thing"),
        (_attributive, "size of a thing"),
        (_height, "how high a thing hangs"),
        (_of_length, "feet laid"),
        (_goods, "weight of goods"),
        (_spread, "how far values lie apart"),
        (_not_needed, "what nobody needs"),
        (_letters_before, "part of a spelled name"),
        (_rate, "so much each hour"),
        (_turned, "how far it was turned"),
        (_pronoun, "words that count nothing"),
    )
    for first, behind in runs(board.pieces, free):
        for rule, why in rules:
            last = rule(board, first, behind)
            if last is not None and board.free(first, last):
                board.claim("no reading", first, last, why, why)
                break


def _range_of_meter(board: Board, first: int, behind: int) -> int | None:
    """'one thousand volt scale', 'the two hundred ohm range': what the meter is set to."""
    unit = unit_at(board, behind)
    if unit is None or unit[0].startswith("shared") or unit_table()[unit[0]].kinds[0] not in METERED:
        return None
    return unit[1] + 1 if board.word(unit[1] + 1) in table("not_readings")["ranges"] else None


def _test_voltage(board: Board, first: int, behind: int) -> int | None:
    """'meggered it at five hundred volts': what the insulation tester puts out."""
    unit = unit_at(board, behind)
    megger = any(hit.name == "megger" for hit in board.hits.get("instruments", ()))
    if unit is None or unit[0] != "volt" or not megger or board.word(first - 1) not in small_words("at_a_test"):
        return None
    return unit[1]


def _distance(board: Board, first: int, behind: int) -> int | None:
    """'six inches off the compressor', 'ten feet downstream of the valve': where something was, not what it read."""
    words = table("not_readings")
    if board.word(behind) not in words["lengths"] or board.word(behind + 1) not in words["away"]:
        return None
    at = behind + 2
    while board.word(at) in small_words("before_things") and at < len(board.pieces):
        at += 1
    owner = board.owner[at] if at < len(board.pieces) else None
    if owner is None and at > behind + 2 and board.word(at).isalpha() and board.starts("unsaid", at) is None:
        return behind  # 'six inches off the valve': a thing that no pressure is read at
    if owner is None or owner.label != "component":
        return None
    units = [entry["unit"] for entry in table("components")[owner.value].get("unsaid", ())]
    return behind if not any(can_measure(unit, Kind.PRESSURE) for unit in units) else None


def _dimension(board: Board, first: int, behind: int) -> int | None:
    """'half an inch loose', 'three inches of ice': how big a thing is or how much of it lies there."""
    words = table("not_readings")
    if board.word(behind) not in words["lengths"]:
        return None
    after = board.word(behind + 1)
    of_a_thing = after == "of" and (
        board.word(behind + 2) not in words["measured_in_inches"] or _lies_there(board, behind + 2)
    )
    return behind if after in words["dimensions"] or (of_a_thing and behind + 2 < len(board.pieces)) else None


def _lies_there(board: Board, at: int) -> bool:
    """'two inches of water in the pan': how deep it is, where no duct and no gas manifold is spoken of."""
    parts = table("components")
    measured = any(
        entry["unit"] == "inch_H2O" for c in board.labelled("component") for entry in parts[c.value].get("unsaid", ())
    )
    return board.word(at) == "water" and board.word(at + 1) in small_words("lying") and not measured


def _attributive(board: Board, first: int, behind: int) -> int | None:
    """'a four inch slab', 'half inch insulation', 'the fifteen percent stick': which kind of thing it is."""
    unit, after = unit_at(board, behind), board.word(behind + 1)  # 'a hundred pound recovery machine' is one too
    if board.word(behind) == "percent" and after in small_words("brazing"):
        return behind
    leads = {board.word(first - 1), board.word(first)}
    heavy = board.word(behind) == "pound" and leads & small_words("before_a_weight")
    if not (heavy or board.word(behind) in small_words("attributes")) or (unit is not None and unit[1] > behind):
        return None
    plain = after.isalpha() and len(after) > 2 and after not in table("not_readings")["measured_in_inches"]
    small = (
        after in table("unsaid")["followers"]["forms"]
        or after in STOPS
        or after.endswith(tuple(small_words("no_thing_endings")))
    )
    known = any(board.starts(context, behind + 1) for context in (*KNOWN, "hedges hedges"))
    return behind if plain and not small and not known else None


def _height(board: Board, first: int, behind: int) -> int | None:
    """'the coil's hung at eleven': feet above the floor."""
    hung = board.word(first - 1) == "at" and board.word(first - 2) in small_words("hung")
    return behind - 1 if hung and unit_at(board, behind) is None else None


def _of_length(board: Board, first: int, behind: int) -> int | None:
    """'good for twenty five feet of line and i ran sixty': feet again, which were said once."""
    laid = board.word(first - 1) in small_words("laid") and board.word(first - 2) in small_words("myself")
    feet = any(board.word(at) in table("not_readings")["lengths"] for at in range(first))
    return behind - 1 if laid and feet and unit_at(board, behind) is None else None


def _goods(board: Board, first: int, behind: int) -> int | None:
    """'a hundred and forty pounds of fish', 'thirty gallons of milk': stock, and nothing that we measure."""
    unit = unit_at(board, behind)
    if unit is None or board.word(unit[1] + 1) != "of" or unit[1] + 2 >= len(board.pieces):
        return None
    at = unit[1] + 2
    if board.owner[at] is not None or board.pieces[at].text in small_words("of_ours") or at + 1 > len(board.pieces):
        return None
    if board.starts("units", behind) is None or board.word(behind) not in table("not_readings")["weights"]:
        return None
    if any(board.starts(context, at) for context in (*KNOWN, "hedges hedges")) or is_number_word(board.pieces[at]):
        return None
    return unit[1] if board.pieces[at].text.isalpha() and len(board.pieces[at].text) > 1 else None


def _spread(board: Board, first: int, behind: int) -> int | None:
    """'all within a tenth', 'within two volts of each other', 'four sixty give or take five'."""
    for phrase in table("not_readings")["apart"]:
        words = phrase.split()
        if first < len(words) or [board.word(at) for at in range(first - len(words), first)] != words:
            continue
        unit = unit_at(board, behind)
        return (
            None
            if unit is not None and unit[0] in table("not_readings")["times"]
            else (unit[1] if unit else behind - 1)
        )
    return None


def _not_needed(board: Board, first: int, behind: int) -> int | None:
    """'they don't need twenty for lettuce': a number right behind the denied need was not read."""
    for phrase in table("not_readings")["unneeded"]:
        words = phrase.split()
        if first >= len(words) and [board.word(at) for at in range(first - len(words), first)] == words:
            unit = unit_at(board, behind)
            return unit[1] if unit else behind - 1
    return None


def _rate(board: Board, first: int, behind: int) -> int | None:
    """'and eighty five an hour after that', 'six a day': a price or a count; 'held at four hundred an hour' is none."""
    part = board.word(behind) == "of" and board.word(behind + 1) in table("numbers")["articles"]
    if board.word(behind + 2 * part) in table("not_readings")["weights"]:
        behind += 1 + 2 * part  # 'makes four hundred pounds a day', 'point six of an ounce a foot'
        if board.word(behind) in small_words("per_length") and board.word(behind + 1) in small_words("lengths"):
            return behind + 1  # 'ten feet at point six ounces a foot'
    if board.word(behind) not in small_words("per") or board.word(behind + 1) not in small_words("rates"):
        return None
    if board.word(behind + 2) in small_words("hours_on"):
        return None  # 'fell to two hundred an hour later': when it was read
    fraction = any(end == behind - first for end, _ in fractions_at(_words(board, first, behind), 0))
    before = {board.word(at) for at in range(first - BACK, first)}
    held = before & set(table("not_readings")["proves_held"])
    return None if fraction or held else behind + 1


def _turned(board: Board, first: int, behind: int) -> int | None:
    """'backed it out a turn and a quarter': the part of a turn behind the whole one."""
    whole = board.word(first - 2) in small_words("turns") and board.word(first - 1) == "and"
    fraction = any(end == behind - first for end, _ in fractions_at(_words(board, first, behind), 0))
    return behind - 1 if whole and fraction and unit_at(board, behind) is None else None


def _words(board: Board, first: int, behind: int) -> tuple[str, ...]:
    return tuple(piece.text for piece in board.pieces[first:behind])


def _letters_before(board: Board, first: int, behind: int) -> int | None:
    """'dash t f five': a number right behind two spelled letters that mean nothing else belongs to a name."""
    letters = [at for at in (first - 1, first - 2) if at >= 0 and len(board.word(at)) == 1 and board.word(at).isalpha()]
    if (
        len(letters) < 2
        or not all(board.owner[at] is None for at in letters)
        or "a" in (board.word(at) for at in letters)
    ):
        return None
    known = any(hit.first <= first - 1 <= hit.last for context in NAMED_BY for hit in board.hits.get(context, ()))
    return None if known or unit_at(board, behind) is not None else behind - 1


def _pronoun(board: Board, first: int, behind: int) -> int | None:
    """'with the weak one', 'that big old one': behind an article and a plain word 'one' is no number."""
    scale = board.word(first + 2) in table("numbers")["scales"] and board.word(first + 1) in table("numbers")["digits"]
    apart = behind > first + 2 and board.word(first) == "one" and scale  # nobody says 'one four hundred'
    if not apart and (board.text(first, behind - 1) != "one" or unit_at(board, behind) is not None):
        return None
    if not apart and followed_by(board, ("units", "weak units"), behind):
        return None
    others = any(board.word(at) == "other" for at in range(behind, len(board.pieces)))
    opens = first == 0 or board.word(first - 1) in SEPARATORS | small_words("conjunctions")
    owner = board.owner[behind] if behind < len(board.pieces) else None
    if others and opens and owner is not None and owner.label in ("component", "points"):
        return first  # 'one line's fourteen the other leg's fourteen two'
    at = first - 1
    small = small_words("no_attributes")
    while at >= 0 and first - at <= BACK and board.owner[at] is None and board.word(at).isalpha():
        if board.word(at) in small_words("determiners"):
            return first if first - at > 1 else None
        if board.word(at) in small or is_number_word(board.pieces[at]):
            return None
        at -= 1
    return None
