"""Words of ``unsaid.toml``: no part of a machine, and yet they tell what an unsaid unit or place must be."""

from __future__ import annotations

from journal.domain.reading import Role
from journal.interpret.board import Board, Hit
from journal.interpret.context import Context
from journal.interpret.sentence import Sentence
from journal.interpret.vocabulary import small_words, table

HERE = 2  # words from a number to 'in here'


def topic_hit(sentence: Sentence, place: int) -> Hit | None:
    """Return the word of ``unsaid.toml`` of this utterance that a number's unit may be taken from."""
    board, item = sentence.board, sentence.items[place]
    set_ = sentence.stands[place].role is Role.SETTING
    hits = [hit for hit in topics_said(board) if _counts(board, hit) and (set_ or not _only_set(hit))]
    hits = [hit for hit in hits if not _used_up(sentence, place, hit)]
    here = [hit for hit in hits if "place" in table("unsaid")[hit.name] and 0 < hit.first - item.last <= HERE]
    if here and board.word(item.first - 1) in table("unsaid")[here[0].name]["when_led"]:
        return here[0]  # 'gauges are equal at ninety and it's eighty two in here'
    before = [hit for hit in hits if hit.last < item.first]
    if before:
        return max(before, key=lambda hit: hit.last)
    end = max(
        (i.last for i, n in zip(sentence.items, sentence.lists, strict=True) if n == sentence.lists[place]),
        default=item.last,
    )
    behind = [hit for hit in hits if end < hit.first <= end + 4]
    if behind and behind[0].first == end + 1 and _is_machine(board, behind[0]) and not sentence.stands[place].said:
        return None  # 'twelve reach in freezer' reads its number off a door or a panel
    return behind[0] if behind else None


def _only_set(hit: Hit) -> bool:
    """'the heat at sixty eight' is a setting; heat and cold that were felt have no number."""
    return bool(table("unsaid")[hit.name].get("set"))


def _used_up(sentence: Sentence, place: int, hit: Hit) -> bool:
    """'my gauge says sixty eight that's forty': one gauge shows one number, or the list that stands behind it."""
    if sentence.board.text(hit.first, hit.last) not in table("unsaid")[hit.name].get("once", ()):
        return False
    first = next((n for n, item in enumerate(sentence.items) if item.first > hit.last), place)
    return sentence.lists[first] != sentence.lists[place] and first < place


def _is_machine(board: Board, hit: Hit) -> bool:
    owner = board.owner[hit.first]
    return owner is not None and owner.label == "equipment"


def topics_said(board: Board) -> list[Hit]:
    """The words of ``unsaid.toml``; 'pulls' in 'the relay pulls in at eighteen' is what a part did, no word of amps,
    and a 'dining room' is no 'room'."""
    acts = [hit for hit in board.hits.get("roles", ()) if hit.name == "acted"]
    hits = board.hits.get("unsaid", ())
    return [
        hit
        for hit in hits
        if not any(a.first <= hit.first and hit.last < a.last for a in acts)
        and not _in_idiom(board, hit)
        and not _in_name(board, hit)
        and not any(
            longer.first < hit.first and longer.last == hit.last for longer in hits
        )  # 'dining room' is no 'room'
    ]


def _in_idiom(board: Board, hit: Hit) -> bool:
    """'at room temperature': a figure of speech, and no air of a room."""
    owner = board.owner[hit.first]
    return owner is not None and owner.label == "idiom" and owner.last >= hit.last


def _in_name(board: Board, hit: Hit) -> bool:
    """'return air seventy six': the air of a place that has a name."""
    owner = board.owner[hit.last]
    return owner is not None and owner.label == "component" and bool(table("unsaid")[hit.name].get("told"))


def topics_left(board: Board) -> list[Hit]:
    """Those that hold for what is said next; 'room two twelve' only tells where, and speaks of no air."""
    return [hit for hit in topics_said(board) if not _has_number(board, hit) and not _only_set(hit)]


def _has_number(board: Board, hit: Hit) -> bool:
    """'room two twelve': where something was read, and no air of a room."""
    owner = board.owner[hit.last + 1] if hit.last + 1 < len(board.pieces) else None
    numbered = owner is not None and owner.label == "no reading" and owner.value == "name"
    return numbered and board.word(hit.last) in small_words("rooms")


def _counts(board: Board, hit: Hit) -> bool:
    """'the den's at eighty' tells of the den's air; 'it stands in the den' does not."""
    body = table("unsaid")[hit.name]
    told = not body.get("told") or board.word(hit.last + 1) in table("clauses")["told_by"]
    other = board.word(hit.first - 1) in body.get("not_behind", ())
    owner = board.owner[hit.last]
    other = other or (owner is not None and owner.label == "points")  # 'start to the shell'
    return told and not other and not _of_a_condition(board, hit)


def _of_a_condition(board: Board, hit: Hit) -> bool:
    """'with the compressor pulling': how it was measured, and no word of amps."""
    return any(
        c.first <= hit.first and hit.last <= c.last and c.last - c.first > hit.last - hit.first
        for c in board.hits.get("conditions", ())
    )


def component_here(sentence: Sentence, place: int, context: Context) -> bool:
    """'it's a hundred and four in here': the air around whoever speaks, unless they stand in a box."""
    hit = topic_hit(sentence, place)
    item = sentence.items[place]
    if hit is None or "place" not in table("unsaid")[hit.name] or not 0 < hit.first - item.last <= HERE:
        return False
    entry = context.equipment_entry
    inside = entry is not None and table("equipment")[entry].get("air")
    return sentence.board.word(item.first - 1) in small_words("it") and not inside
