"""Runs of number words cut into amounts, in the light of the unit they will probably have."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal

from journal.interpret.board import Board
from journal.interpret.document import UNKNOWN
from journal.interpret.idle.number_names import PART_NUMBER
from journal.interpret.numbers.amounts import Amount, tails
from journal.interpret.numbers.around import joined
from journal.interpret.numbers.articles import counted_by_articles
from journal.interpret.numbers.hints import Hint, is_header, probable_units, reader_for, unit_behind
from journal.interpret.numbers.number_words import words
from journal.interpret.numbers.numbers import Number, Reader
from journal.interpret.numbers.runs import Grouping, confusable_values, groupings, is_number_word, runs
from journal.interpret.numbers.sizes import capacitor_marking, jug_weight, names_size
from journal.interpret.tagger.tags import NONE
from journal.interpret.vocabulary import small_words, table

FAR = 0.6  # cost above the best from which on another value of the same words is not kept
PARTED = 1.3  # the same for another way of parting the words
MOST_PARTS = 2
LEFT_OUT = "point left out"
SURE_START = 0.9  # share from which on the tagger parts numbers
MAYBE_IDLE = 0.5  # share of no reading from which on it has no say in that
POSITIONS = frozenset(table("not_readings")["positions"])
OTHERWISE = "By the rules these words are one number; only the words around them part it."
NEAR = 0.5  # cost between two ways of cutting below which both are plausible


def claim_amounts(board: Board) -> list[Amount]:
    """Claim every number that nothing else took, with its unit; return the amounts in the order of the sentence."""
    free = [owner is None for owner in board.owner]
    for hit in tails(board):
        free[hit.first : hit.last + 1] = [False] * (hit.last - hit.first + 1)
    found: list[Amount] = []
    for index, (first, behind) in enumerate(runs(board.pieces, free)):
        found += _amounts_of_run(board, first, behind, index)
    found = joined(board, sorted(found + counted_by_articles(board), key=lambda amount: amount.first))
    for amount in found:
        if board.free(amount.first, amount.last):
            rule = f"number ({amount.form}){' and unit' if amount.unit else ''}"
            board.claim("amount", amount.first, amount.last, amount, rule)
    return found


def _best_way(board: Board, first: int, behind: int) -> tuple[list[Grouping], Reader, str | None]:
    """The groupings under the hint that makes them cheapest, among hints whose bounds they fit."""
    hints = probable_units(board, first, behind) or [Hint(None)]
    best: tuple[float, list[Grouping], Reader, str | None] | None = None
    for hint in hints:
        reader = reader_for(board, hint.unit, hint.tenths)
        ways = groupings(reader, first, behind)
        fitting = [way for way in ways if hint.fits(way)]
        if fitting and (best is None or fitting[0].cost < best[0]):
            best = (fitting[0].cost, fitting + [way for way in ways if way not in fitting], reader, hint.unit)
    if best is None:
        reader = reader_for(board, hints[0].unit)
        return groupings(reader, first, behind), reader, hints[0].unit
    broken = best[1][0].left_over > 0
    whole = groupings(Reader(board.pieces), first, behind) if broken or _cut_unlike(best[1][0]) else []
    named = best[3] is not None and best[3].startswith("delta_")  # no superheat has three digits
    as_one = bool(whole) and (_one_pair(whole[0]) or (broken and not whole[0].left_over))
    if as_one and not named and unit_behind(board, behind) is None:
        return whole, Reader(board.pieces), None
    return best[1], best[2], best[3]


def by_starts(board: Board, ways: list[Grouping]) -> list[Grouping]:
    """The ways of parting the words, another one first where the tagger is sure that numbers start otherwise."""
    ways = _all_with_points(board, ways)
    rule = _starts(board, ways[0])
    whole = {at for number in ways[0].numbers for at in _beyond_doubt(board, number)}
    for way in ways[1:]:
        other = _starts(board, way)
        if way.left_over > ways[0].left_over or other == rule or whole & other:
            continue
        if _sure(board, other - rule, rule - other):
            return [way, *(kept for kept in ways if kept is not way)]
    return ways


def _all_with_points(board: Board, ways: list[Grouping]) -> list[Grouping]:
    """'point six two point six four': all of them less than one, where the first is and they are more alike so ('point
    eight one point two point nine' is 0.8, 1.2 and 0.9)."""
    points = words().points
    if len(ways[0].numbers) < 2 or board.word(ways[0].numbers[0].first) not in points:
        return ways
    for way in ways:
        with_points = not way.left_over and all(board.word(number.first) in points for number in way.numbers)
        if with_points and _spread(way) < _spread(ways[0]):
            return [way, *(kept for kept in ways if kept is not way)]
    return ways


def _spread(way: Grouping) -> Decimal:
    """How many times the least the greatest of some numbers is."""
    sizes = [abs(number.value) for number in way.numbers]
    return max(sizes) / max(min(sizes), Decimal("0.001"))


def _beyond_doubt(board: Board, number: Number) -> Iterator[int]:
    """The words of a number that go on with it whatever the words around say: a digit behind a ten ('thirty one'), what
    stands behind 'hundred' or 'thousand', and the digits behind a point, unless they name the next ('one's one point
    three two's one point four')."""
    w, behind = words(), False
    for at in range(number.first + 1, number.last + 1):
        said, before = board.word(at), board.word(at - 1)
        behind = behind or before in w.scales or before in w.points
        names = board.word(at + 1) == "'s" and at == number.last
        if (behind and not names) or (said in w.digits and before in w.tens):
            yield at


def _starts(board: Board, way: Grouping) -> set[int]:
    """The first number word of every number."""
    return {
        next((at for at in range(number.first, number.last + 1) if is_number_word(board.pieces[at])), number.first)
        for number in way.numbers
    }


def _sure(board: Board, starts: set[int], goes_on: set[int]) -> bool:
    """Whether the tagger is sure that numbers which it takes for readings start at some places and at others do not."""
    for at in starts | goes_on:
        share, idle = board.tags.start(at), board.tags.kinds(at, at).get(NONE, 1.0)
        if share is None or idle >= MAYBE_IDLE or (share if at in starts else 1 - share) < SURE_START:
            return False
    return True


def _cut_unlike(way: Grouping) -> bool:
    """'four' and 'sixty': nobody reads off a digit and a number of two digits in a row with nothing between."""
    lengths = [len(str(number.value)) for number in way.numbers if number.form == "words"]
    return lengths == [1, 2] and len(way.numbers) == 2


def _one_pair(way: Grouping) -> bool:
    """'four sixty': one number of three digits.

    A unit that was only guessed and does not reach so far is the wrong one, not the number: 'it came up to six ten'.
    """
    return len(way.numbers) == 1 and not way.left_over and way.numbers[0].form == "pair"


def _amounts_of_run(board: Board, first: int, behind: int, index: int) -> list[Amount]:
    ways, reader, hint = _best_way(board, first, behind)
    if not ways:
        return []
    by_rule = ways[0]
    ways = by_starts(board, ways)
    plain = by_starts(board, [ways[0], *groupings(Reader(board.pieces), first, behind)]) if hint is not None else ways
    if plain[0] is not ways[0]:  # the unit that was guessed lets no number be read so: it is another
        ways, reader, hint = plain, Reader(board.pieces), None
    unit = unit_behind(board, behind)
    one = unit is not None and len(by_rule.numbers) == 1 and not by_rule.left_over
    turned = (("parted otherwise", OTHERWISE),) if one and ways[0] is not by_rule else ()
    if unit is not None and (is_header(board, first, unit) or _heads_ratings(board, ways[0], unit)):
        unit = None
    jug = jug_weight(board, ways, first, behind, index) if unit is None else None
    if jug is not None:
        return [jug]
    single = any(h.tenths for h in probable_units(board, first, behind))  # one terminal was named, with one value
    capacitor = None if single else capacitor_marking(board, reader, ways, first, behind)
    best = capacitor or ways[0]
    amounts: list[Amount] = []
    for place, number in enumerate(best.numbers):
        number = _with_point(board, number)
        said = unit if place == len(best.numbers) - 1 else None
        amounts.append(
            Amount(
                first=number.first,
                last=said[1] if said else number.last,
                number_first=number.first,
                number_last=number.last,
                value=number.value,
                unit=said[0] if said else None,
                unit_form=_unit_form(board, said, number.last) if said else "",
                hint=hint,
                hedged=said is not None and "ish" in board.text(number.last + 1, said[1]).split(),
                rivals=tuple(_other_values(board, reader, number, ways)),
                doubts=(*turned, *_doubts(board, number, best, ways)) if not capacitor else (),
                run=index,
                form=number.form,
                size=(capacitor is not None or (said is None and place == len(best.numbers) - 1))
                and names_size(board, first, behind, marked=capacitor is not None),
            )
        )
    return amounts


def _with_point(board: Board, number: Number) -> Number:
    """'three two': nobody says thirty two so; the point was left out (149 of 149 in the open tables)."""
    first, last = board.word(number.first), board.word(number.last)
    digits = table("numbers")["digits"]
    if number.form != "digits" or number.last != number.first + 1 or not (first in digits and last in digits):
        return number
    return replace(number, value=number.value / 10, form=LEFT_OUT) if 10 <= number.value < 100 else number


def _heads_ratings(board: Board, way: Grouping, unit: tuple[str, int]) -> bool:
    """'plate says one fifteen slash two thirty amps nine slash four and a half': volts, and the amps are behind."""
    number, after = way.numbers[0], unit[1] + 1
    volts = number.value in table("unsaid")["nominal_volts"] and board.word(number.first - 1) == "/"
    return volts and unit[0] == "ampere" and after < len(board.pieces) and is_number_word(board.pieces[after])


def _unit_form(board: Board, said: tuple[str, int], last: int) -> str:
    hit = board.ends("units", said[1])
    return board.text(max(hit.first, last + 1) if hit else last + 1, said[1])


def _other_values(
    board: Board, reader: Reader, number: Number, ways: Sequence[Grouping]
) -> Iterator[tuple[Decimal, str]]:
    yield from _with_name_before(board, number)
    yield from _with_sound_before(board, number)
    yield from _rivals(reader, number, ways)


def _rivals(reader: Reader, number: Number, ways: Sequence[Grouping]) -> Iterator[tuple[Decimal, str]]:
    """Other values of the same words: other groupings, then words that sound alike."""
    seen = {number.value}
    goes_on = number.last > number.first
    if (
        number.first
        and goes_on
        and " ".join(p.text for p in reader.pieces[number.first - 1 : number.first + 1]) in POSITIONS
    ):
        for other in reader.numbers_at(number.first + 1):
            if other.last == number.last and other.value not in seen:
                seen.add(other.value)
                yield other.value, "'one' belongs to the words before it"
    others = [n for n in reader.numbers_at(number.first) if n.last == number.last and n.cost - number.cost < FAR]
    if number.form in ("pair", "digits", LEFT_OUT):
        for way in ways[1:]:
            if not way.left_over and way.cost - ways[0].cost < PARTED:
                inside = [n for n in way.numbers if n.first <= number.last and n.last >= number.first]
                others += [n for n in inside if abs(n.value) < 10_000][:MOST_PARTS]
    for other in others:
        if other.value not in seen:
            seen.add(other.value)
            yield other.value, "the same words grouped another way"
    for value, heard, meant in confusable_values(reader, number):
        if value not in seen:
            seen.add(value)
            yield value, f"'{heard}' and '{meant}' sound alike"


def _behind_one_alone(board: Board, first: int) -> bool:
    """'second one five amps' with no 'first one' beside it: a five, or one and a half."""
    before = board.owner[first - 1] if first else None
    named = [claim for claim in board.labelled("no reading") if claim.rule == "one of several"]
    return len(named) == 1 and named[0] is before


def _too_far(board: Board, number: Number) -> bool:
    """'head's thirty pounds high': thirty, which is high, or thirty more than it should be."""
    unit = unit_behind(board, number.last + 1)
    if unit is not None and board.text(unit[1] + 1, unit[1] + 2) in table("not_readings")["other_than"]:
        return True  # 'supply's twenty degrees cooler than the return'
    if unit is None or board.word(unit[1] + 1) not in small_words("too_far"):
        return False
    clauses = table("clauses")
    ends = {"", *clauses["strong"], *clauses["subjects"], *clauses["stops"], *small_words("conjunctions")}
    return board.word(unit[1] + 2) in ends and unit[0] != "percent"


def _of_a_numbered_part(board: Board, number: Number, best: Grouping) -> bool:
    """'heat strip one twenty amps': a hundred and twenty, or twenty amps of the first of them."""
    unit = unit_behind(board, number.last + 1)
    part = board.owner[number.first - 1] if number.first else None
    named = part is not None and part.label == "component" and bool(table("components")[part.value].get("electrical"))
    alone = len(best.numbers) == 1 and number.form == "pair"
    few = board.word(number.first) in small_words("first_numbers")
    return named and alone and few and unit is not None and unit[0] == "ampere"


def _with_name_before(board: Board, number: Number) -> Iterator[tuple[Decimal, str]]:
    """'compressor one one point two': compressor 1 at 1.2, or 11.2 said digit by digit."""
    before = board.owner[number.first - 1] if number.first else None
    named = before is not None and (before.rule == PART_NUMBER or before.label == "equipment")
    digit = table("numbers")["digits"].get(board.word(number.first - 1)) if named else None
    if digit and number.form == "decimal" and board.word(number.first) in table("numbers")["digits"]:
        yield Decimal(f"{digit}{number.value}"), "the digit before it belongs to the number"


def _with_sound_before(board: Board, number: Number) -> Iterator[tuple[Decimal, str]]:
    """'it reads for fifty three volts': behind a verb 'for' is likelier the hundreds than a word of its own."""
    heard = board.word(number.first - 1)
    digit = table("numbers")["sounds_like"].get(heard)
    led = board.word(number.first - 2) in small_words("reads_a_number")
    if digit and led and number.value == int(number.value) and 10 <= number.value < 100:
        yield 100 * digit + number.value, f"'{heard}' may have been said for {digit}"


def _doubts(board: Board, number: Number, best: Grouping, ways: Sequence[Grouping]) -> Iterator[tuple[str, str]]:
    rival = next((way for way in ways[1:] if not way.left_over and len(way.numbers) != len(best.numbers)), None)
    if number.form == LEFT_OUT:
        yield "grouping", "No decimal point was said; it was put in."
    elif best.left_over and number.form != "decimal":
        yield "grouping", "Some of the number words fit into no number."
    elif rival is not None and rival.cost - best.cost < NEAR:
        yield "grouping", "The number words can be parted another way."
    if board.text(number.first - 1, number.first) in POSITIONS:
        yield "grouping", "The 'one' may belong to the words before it."
    if any(_with_name_before(board, number)):
        yield "grouping", "The digit before it may belong to the number."
    if any(_with_sound_before(board, number)):
        yield "sounds like a number", f"The '{board.word(number.first - 1)}' before it may belong to the number."
    if _of_a_numbered_part(board, number, best):
        yield "grouping", "The first word may be the number of the part, and the rest what it draws."
    if _too_far(board, number):
        yield "maybe no reading", "It may say how much too high or too low a value is."
    if number.form != "decimal" and _behind_one_alone(board, number.first):
        yield "grouping", "The 'one' before it may belong to the number."
    around = range(max(0, number.first - 1), min(len(board.pieces), number.last + 2))
    if any(board.pieces[place].text in (UNKNOWN, "<unk>") for place in around):
        yield "word not understood", "A word inside or beside the number was not understood."
    follows = number.last + 2 < len(board.pieces) and is_number_word(board.pieces[number.last + 2])
    if board.word(number.last + 1) in words().points and board.owner[number.last + 1] is None and not follows:
        yield "number broken off", "A decimal point was said and nothing was heard behind it."
