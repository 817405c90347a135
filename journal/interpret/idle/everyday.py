"""Numbers of everyday life that no meter showed: telephones, money, people's ages, dates."""

from __future__ import annotations

from decimal import Decimal

from journal.interpret.board import Board
from journal.interpret.idle.number_names import LINKS, followed_by, led_by
from journal.interpret.numbers.amounts import unit_at
from journal.interpret.numbers.numbers import Reader
from journal.interpret.numbers.runs import groupings, is_number_word
from journal.interpret.vocabulary import small_words, table

MONTHS, DAYS = 12, 31
LONG = 5  # digits from which on a number that somebody is asked for is dialled
YOUNGEST, OLDEST = 5, 100  # years of a person's age
WHOSE = 7  # words between 'number' and the digits
SOON_BEFORE, SOON_BEHIND = 8, 3  # words between a quantity and its numbers
CHEAP, DEAR, ROUND = 150, 1000, 50  # what is paid for a part; what nobody reads off a meter; what prices are rounded to


def telephone(board: Board, first: int, behind: int) -> str | None:
    """'five five five oh one four two', 'his cell is ...', 'the number for the store is ...'."""
    digits = sum(1 for piece in board.pieces[first:behind] if is_number_word(piece))
    many = digits >= table("not_readings")["telephone"]["digits"] and _all_small(board, first, behind)
    if (
        many
        and unit_at(board, behind) is None
        and (_asked_for(board, first) or not _measured_there(board, first, behind))
    ):
        return "telephone number"
    back = next((at for at in range(first - 1, -1, -1) if board.word(at) not in LINKS), -1)
    spoken_of = board.owner[back] if back >= 0 else None
    if spoken_of is not None and spoken_of.label == "idiom":
        return None  # 'w to c on a call twenty four nine'
    if digits >= 3 and led_by(board, ("not telephone before",), first) and unit_at(board, behind) is None:
        return "telephone number"
    if digits >= LONG and _asked_for(board, first) and unit_at(board, behind) is None:
        return "telephone number"
    return None


def _asked_for(board: Board, first: int) -> bool:
    """'the number for the shop is ...': whose number it is stands between."""
    numbers = small_words("telephones")
    led = board.word(first - 1) in small_words("copulas")
    at = next((at for at in range(first - 2, max(-1, first - WHOSE), -1) if board.word(at) in numbers), None)
    return led and at is not None and board.word(at + 1) in small_words("whose_number")


def _measured_there(board: Board, first: int, behind: int) -> bool:
    """A unit, a quantity, points or a word like 'legs' stands near; a room's name does not count."""
    near = (*range(first - SOON_BEFORE, first), *range(behind, behind + SOON_BEHIND))
    rooms = {name for name, body in table("unsaid").items() if isinstance(body, dict) and body.get("told")}
    return any(
        hit.last in near and not (context == "unsaid" and hit.name in rooms)
        for context in ("units", "kinds", "points", "unsaid")
        for hit in board.hits.get(context, ())
    )


def _all_small(board: Board, first: int, behind: int) -> bool:
    """Seven digits one by one; decimals and lists of pairs are not dialled."""
    numbers = table("numbers")
    return all(
        piece.text in numbers["digits"] or piece.text in numbers["zeros"] or piece.text in numbers["repeat"]
        for piece in board.pieces[first:behind]
    )


def money(board: Board, first: int, behind: int) -> str | None:
    """'sixty dollars', 'quoted eleven hundred', 'a new compressor for thirty two hundred'."""
    if followed_by(board, ("not money after",), behind) or led_by(board, ("not money before",), first):
        return "money"
    if unit_at(board, behind) is not None:
        return None
    quoted = any(claim.value == "money" and claim.last < first for claim in board.labelled("no reading"))
    if quoted and led_by(board, ("not money further",), first) and board.word(behind) == "for":
        return "money"
    if board.word(first - 1) in small_words("terms") and board.has("not money papers"):
        return "money"  # 'the invoice is ..., net thirty'
    if (quoted and _amount_of_money(board, first, behind, DEAR)) or _paid_for(board, first, behind):
        return "money"
    return None


def _paid_for(board: Board, first: int, behind: int) -> bool:
    """'wants to sell him a new one for about nine hundred': a large round number behind 'for' and what is bought."""
    at = first - 1
    at -= board.word(at) in small_words("roughly")
    bought = any(hit.last < at for context in ("not money bought",) for hit in board.hits.get(context, ()))
    least = ROUND if board.word(at - 1) in small_words("them") else CHEAP  # 'says he can get it for a hundred'
    return bought and board.word(at) == "for" and _amount_of_money(board, first, behind, least)


def _amount_of_money(board: Board, first: int, behind: int, least: int) -> bool:
    """A round number of some size that is no voltage by which machines are called."""
    ways = groupings(Reader(board.pieces), first, behind)
    if not ways or len(ways[0].numbers) != 1:
        return False
    value = ways[0].numbers[0].value
    return value >= least and value % ROUND == 0 and value not in table("unsaid")["nominal_volts"]


def age(board: Board, first: int, behind: int) -> str | None:
    """'he's thirty four now', 'my boy was born that year and she's nineteen': how old somebody is."""
    at = first - 1
    at -= board.word(at) in small_words("roughly")
    person = board.word(at) in small_words("he_is") or board.text(at - 1, at) in small_words("he_is_apart")
    person = person or (_aged(board, first, behind) and board.word(at) in small_words("of_then") | {"who's"})
    born = board.word(at) in small_words("they_are") and any(
        board.word(place) in small_words("births") for place in range(at)
    )
    placed = board.starts("units", behind) or board.word(behind) in small_words("place_ties")
    if (person or born) and not placed and unit_at(board, behind) is None:
        return "age"
    return None


def _aged(board: Board, first: int, behind: int) -> bool:
    """'a nephew who is twenty two', 'i was nineteen then': somebody, and years that one can have lived."""
    at = first - 1
    at -= board.word(at) in small_words("roughly")
    someone = board.word(at) == "who's" or board.word(at - 1) in small_words("whom")
    ways = groupings(Reader(board.pieces), first, behind)
    value = ways[0].numbers[0].value if ways and len(ways[0].numbers) == 1 else None
    return someone and value is not None and value == int(value) and YOUNGEST <= value < OLDEST


def date(board: Board, first: int, behind: int) -> str | None:
    dates = table("not_readings")["dates"]
    if _stroked(board, first, behind):
        return "date"
    if board.word(first - 1) in dates["months"] and unit_at(board, behind) is None:
        return "date"
    if board.word(first - 1) == "of" and board.word(first - 2) in (*dates["months"], *dates["seasons"]):
        return "date"
    if unit_at(board, behind) is None and led_by(board, ("not dates year_before",), first):
        ways = groupings(Reader(board.pieces), first, behind)
        if ways and len(ways[0].numbers) == 1 and Decimal(1950) <= ways[0].numbers[0].value <= Decimal(2049):
            return "year"
    return None


def _stroked(board: Board, first: int, behind: int) -> bool:
    """'serviced 3/22', 'dated 11/9/24': digits parted by strokes behind a word for something done on a day."""
    owner = board.owner[first - 2] if first > 1 and board.word(first - 1) == "/" else None
    if owner is not None and owner.value == "date":
        return True
    here, after = board.pieces[first].number, board.pieces[behind + 1] if behind + 1 < len(board.pieces) else None
    if here is None or behind != first + 1 or board.word(behind) != "/" or after is None or after.number is None:
        return False
    low, high = sorted((here, after.number))
    led = led_by(board, ("not dates stroked",), first)
    return led and 0 < low <= MONTHS and high <= DAYS and low == int(low) and high == int(high)
