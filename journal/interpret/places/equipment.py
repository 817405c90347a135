"""Machines and places of the visit: which one is spoken of, and the numbers that name them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from journal.interpret.board import Board, Claim, Hit
from journal.interpret.idle.number_names import parts_tens
from journal.interpret.numbers.amounts import degrees, unit_at
from journal.interpret.numbers.hints import reader_for
from journal.interpret.numbers.runs import groupings, is_number_word
from journal.interpret.vocabulary import small_words, table

ORDINALS: list[str] = table("not_readings")["dates"]["ordinals"]
NEAR = 1.3  # cost of parting a machine's number from the reading behind it
MOST_BOXES = 20  # larger numbers behind a cooler or freezer are degrees, unless somebody goes there
HIGHEST = 60  # no site has more machines of a kind; larger numbers behind 'unit' are names all the same


@dataclass(frozen=True, slots=True)
class Machine:
    """What a machine is called ('condensing unit 2'), and which vocabulary entry it came from."""

    name: str
    entry: str
    numbered: bool

    @property
    def body(self) -> dict[str, Any]:
        found: dict[str, Any] = table("equipment")[self.entry]
        return found


def claim_equipment(board: Board) -> None:
    """Claim machines with their numbers: 'condensing unit three', 'the second reach in', 'circuit a seven'."""
    _claim_another(board)
    for hit in board.found("equipment"):
        body = table("equipment")[hit.name]
        if _names_a_part_of(board, hit) or _begins_with_a_name(board, hit) or _claim_placed(board, hit):
            continue
        if body.get("air") and not body.get("many") and _reads_its_air(board, hit):
            board.claim("equipment", hit.first, hit.last, Machine(hit.name, hit.name, False), "machine")
            continue
        if body.get("numbered") and _claim_numbered(board, hit):
            continue
        if body.get("bare") or _is_the_other_box(board, hit):
            board.claim("equipment", hit.first, hit.last, Machine(hit.name, hit.name, False), "machine")


def machine_behind(board: Board, items: Sequence[Claim], place: int) -> str | None:
    """'twelve amps in freezer one and six in freezer two': a number's machine where all are named behind theirs."""
    claims = [claim for claim in board.labelled("equipment") if not claim.value.body.get("side")]
    if not claims or not items or claims[0].first < items[0].first or claims[-1].last < items[-1].last:
        return None
    behind = next((claim for claim in claims if claim.first > items[place].last), None)
    if behind is None:
        return None
    led = behind.first - 1
    while board.word(led) in small_words("determiners"):
        led -= 1
    name: str = behind.value.name
    return name if board.word(led) in small_words("of_a_machine") else None


def _claim_another(board: Board) -> None:
    """'second one' after 'first condensing unit'."""
    if not any(piece.text == "one" for piece in board.pieces):
        return
    carried = board.hints.machine if board.hints is not None else None
    numbered = [hit for hit in board.found("equipment") if table("equipment")[hit.name].get("numbered")]
    for at in range(len(board.pieces) - 1):
        named = [hit.name for hit in numbered if hit.last < at and not table("equipment")[hit.name].get("side")]
        entry = named[-1] if named else carried
        if entry is None or not table("equipment")[entry].get("numbered") or _counts_parts(board, at):
            continue
        if board.word(at) in ORDINALS[:12] and board.word(at + 1) == "one" and board.free(at, at + 1):
            following = board.pieces[at + 2] if at + 2 < len(board.pieces) else None
            name = f"{entry} {ORDINALS.index(board.word(at)) + 1}"
            if following is None or board.word(at + 2) not in small_words("number_goes_on"):
                board.claim("equipment", at, at + 1, Machine(name, entry, True), "another machine by order")


def _counts_parts(board: Board, at: int) -> bool:
    """'ten ohms on the first and the second one's open': the first was no machine, so the second is a part too."""
    first = next((here for here in range(at) if board.word(here) == "first" and board.owner[here] is None), None)
    if first is None or not any(hit.last < first for hit in board.hits.get("units", ())):
        return False
    return board.word(first - 1) == "the" and board.word(first - 2) in small_words("place_ties")


def _names_a_part_of(board: Board, hit: Hit) -> bool:
    """'two door switches': the last word of the machine's name begins that of a part."""
    return any(
        hit.first < part.first <= hit.last < part.last
        for context in ("components", "findings")
        for part in board.hits.get(context, ())
    )


def _begins_with_a_name(board: Board, hit: Hit) -> bool:
    """'box two door was open': the number names what stands before it, and the door is its."""
    if not is_number_word(board.pieces[hit.first]):
        return False
    named = board.ends("equipment", hit.first - 1) or board.ends("components", hit.first - 1)
    return named is not None or board.word(hit.first - 1) in small_words("before_its_number")


def _claim_placed(board: Board, hit: Hit) -> bool:
    """'the left hand unit', 'bottom cooler': one of several, told by where it stands."""
    if not table("equipment")[hit.name].get("numbered") or board.word(hit.last + 1) in small_words("left_so"):
        return False
    at = hit.first - 1
    if board.word(at) in small_words("machine_sides"):
        at -= 1
    if at < 0 or board.word(at) not in small_words("machine_places") or not board.free(at, hit.last):
        return False
    if board.word(at - 1) in small_words("who_leaves"):
        return False  # 'i left unit two off'
    if any(board.word(back) in table("findings")["denials"] for back in (at - 2, at - 1)):
        return False  # 'that's not the right unit'
    name = board.text(at, hit.last)
    last, number = _number(board, hit.last + 1, few=False, side=False, named=True)
    if number is not None and number <= MOST_BOXES and board.word(last + 1) in table("unsaid")["verbs"]["forms"]:
        return False  # 'back freezer two is at ten': its number names it
    board.claim("equipment", at, hit.last, Machine(name, hit.name, True), "machine by its place")
    return True


def _claim_numbered(board: Board, hit: Hit) -> bool:
    ordinal = board.word(hit.first - 1) if hit.first else ""
    beside = small_words("around") | {"of", *table("not_readings")["away"]}
    if ordinal in small_words("determiners") and board.word(hit.first - 2) in beside:
        return False  # 'air around the machine sixty five', 'six inches off the compressor one ninety'
    if ordinal in ORDINALS[:12] and board.free(hit.first - 1, hit.first - 1):
        name = f"{hit.name} {ORDINALS.index(ordinal) + 1}"
        board.claim("equipment", hit.first - 1, hit.last, Machine(name, hit.name, True), "machine by order")
        return True
    at = hit.last + 1
    if board.word(at) in small_words("before_its_letter"):
        at += 1
    letter = ""
    single = board.word(at) in small_words("machine_letters") and board.owner[at] is None
    if single and (at + 1 >= len(board.pieces) or not _article(board, at)):
        letter = board.word(at).upper()
        at += 1
    body = table("equipment")[hit.name]
    end, number = _number(
        board,
        at,
        few=bool(body.get("air")) and not body.get("many"),
        side=bool(body.get("side")),
        named=at > hit.last + 1 or _is_gone_to(board, hit),
    )
    if number is None and not (letter and not table("equipment")[hit.name].get("side")):
        return False
    last = end if number is not None else at - 1
    if not board.free(hit.first, last):
        return False
    name = f"{hit.name} {letter}{'' if number is None else number}"
    board.claim("equipment", hit.first, last, Machine(name, hit.name, True), "machine by number")
    _claim_further(board, last)
    return True


def _reads_its_air(board: Board, hit: Hit) -> bool:
    """'salad cooler thirty eight', 'freezer two below': a number too large for a name, or one below zero, is how cold
    it is."""
    at = behind = hit.last + 1
    while behind < len(board.pieces) and board.owner[behind] is None and is_number_word(board.pieces[behind]):
        behind += 1
    if behind == at or _is_gone_to(board, hit):
        return False
    ways = groupings(reader_for(board, None), at, behind)
    if not ways or len(ways[0].numbers) > 1 or ways[0].left_over or ways[0].numbers[0].form != "words":
        return False
    tail = board.starts("hedges below", behind) or board.starts("hedges above", behind)
    if tail is not None and not (tail.last + 1 < len(board.pieces) and is_number_word(board.pieces[tail.last + 1])):
        return True
    told = board.word(behind) in table("unsaid")["verbs"]["forms"]  # 'cooler twenty two is at forty'
    value = ways[0].numbers[0].value
    return not told and (value < 0 or MOST_BOXES < value <= HIGHEST)


def _is_the_other_box(board: Board, hit: Hit) -> bool:
    """'produce cooler's at thirty six and the freezer's five below': another box than the one spoken of, and its
    temperature."""
    use = table("equipment")[hit.name].get("use")
    carried = board.hints.machine if board.hints is not None else None
    named = [claim.value.entry for claim in board.labelled("equipment") if claim.last < hit.first]
    before = table("equipment").get(named[-1] if named else carried or "", {})
    if use is None or not before.get("air") or before.get("use") in (None, use):
        return False
    at = hit.last + 1
    while at < len(board.pieces) and board.word(at) in table("unsaid")["placing"]:
        at += 1
    behind = at
    while behind < len(board.pieces) and board.owner[behind] is None and is_number_word(board.pieces[behind]):
        behind += 1
    unit = unit_at(board, behind)
    return at > hit.last + 1 and behind > at and (unit is None or unit[0] in ("degF", degrees()))


def _is_gone_to(board: Board, hit: Hit) -> bool:
    """'moving over to compressor two', 'on compressor two'."""
    before = board.word(hit.first - 1) if hit.first else ""
    if before == "the":
        before = board.word(hit.first - 2)
    return before in table("clauses")["towards"] or (
        hit.first == 0 and board.word(hit.last + 2) in small_words("statement_ends")
    )


def _article(board: Board, at: int) -> bool:
    """'unit a ...' with a letter; 'a' before anything but a number or the end is an article."""
    return board.word(at) == "a" and not is_number_word(board.pieces[at + 1])


def _number(board: Board, at: int, *, few: bool, side: bool, named: bool) -> tuple[int, int | None]:
    """Return (last token, number) of the number that names a machine; ``None`` when the words are an amount."""
    behind = at
    while behind < len(board.pieces) and board.owner[behind] is None and is_number_word(board.pieces[behind]):
        behind += 1
    if behind == at:
        return at, None
    unit = unit_at(board, behind)
    ways = groupings(reader_for(board, unit[0] if unit else None), at, behind, keep=10)
    over = board.word(behind) in table("hedges")["over"]  # 'unit two sixty eight over two twenty': 68 over 220
    over = over and behind + 1 < len(board.pieces) and is_number_word(board.pieces[behind + 1])
    if not unit and ways and len(ways[0].numbers) == 1 and not (side or over):
        first = ways[0].numbers[0]
        parted = few and first.form == "pair" and len(ways) > 1  # 'cooler two thirty six' is at 36
        if not parted:
            whole = first.value == int(first.value) and not ways[0].left_over and first.form != "decimal"
            whole = whole and first.value >= 0  # 'case minus two' is how cold it is
            return (first.last, int(first.value)) if whole else (at, None)
    for way in ways:
        if way.cost - ways[0].cost > NEAR:
            break  # 'compressor nine point eight amps' is 9.8 A
        first = way.numbers[0]
        whole = first.value == int(first.value) and 0 < first.value <= (12 if side else HIGHEST) and first.first == at
        if parts_tens(board, first.last):
            continue  # 'into the ice machine twenty three psi'
        alone = len(way.numbers) > 1 or (not unit and (named or _not_a_reading(board, first.last + 1)))
        if whole and alone and not way.left_over and first.form == "words":
            return first.last, int(first.value)
    return at, None


def _not_a_reading(board: Board, at: int) -> bool:
    """A single small number behind 'compressor' names it when something else follows; at the end it may be a
    reading."""
    return at < len(board.pieces) and unit_at(board, at) is None


def _claim_further(board: Board, last: int) -> None:
    """'units four five and seven': the other numbers name machines too."""
    at = last + 1
    while board.word(at) == "and" and at + 1 < len(board.pieces) and is_number_word(board.pieces[at + 1]):
        if unit_at(board, at + 2) is not None or board.owner[at + 1] is not None:
            return
        board.claim("no reading", at + 1, at + 1, "name", "number of a machine")
        at += 2
