"""Durations: readings of their own when they say how a machine behaves, part of a reading when something held so
long."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from journal.interpret.board import Board, Claim
from journal.interpret.numbers.amounts import Amount
from journal.interpret.vocabulary import small_words, table

HELD = "held"
OWN = "own"
ACTED_REACH = 3  # words in which a machine's act stands before 'after'
ACT_REACH = 6  # words from what a machine did to how long it took
SECONDS = {"second": Decimal(1), "minute": Decimal(60), "hour": Decimal(3600), "day": Decimal(86400)}


def seconds_of(item: Claim) -> Decimal | None:
    """Return an amount of time in seconds; ``None`` for any other amount."""
    if item.label != "amount" or item.value.unit not in SECONDS or item.value.value is None:
        return None
    amount: Amount = item.value
    return (amount.value or Decimal(0)) * SECONDS[amount.unit or "second"]


def duration_use(board: Board, item: Claim, items: Sequence[Claim], *, set_: bool) -> str | None:
    """Return ``own`` for a reading, ``held`` when it qualifies another one, ``None`` for a time that is neither."""
    words = table("not_readings")
    if set_ and not _of_number_before(board, item, items):
        return OWN
    halves = _other_half(board, item, items) or _is_half_a_cycle(board, item)
    if halves or took_to_act(board, item) or rests_for(board, item, items):
        return OWN
    if _qualifies(board, item, items) is not None:
        return HELD
    before = [board.word(place) for place in range(max(0, item.first - 4), item.first)]
    acted = board.word(item.first - 1) == "in" and any(
        board.word(place) in words["past_acts"] for place in range(max(0, item.first - ACT_REACH), item.first)
    )
    if not acted and any(_before(board, item.first, phrase) for phrase in words["appointments"]):
        return None
    if board.starts("not appointments", item.last + 1):
        return None
    if any(hit.first >= item.first - 12 and hit.last < item.first for hit in board.hits.get("not durations", ())):
        people = set(words["people"]) if not _clocked(board) else set()
        return (
            None
            if people & {board.word(place) for place in range(max(0, item.first - 8), item.last + 4)}
            and not any(word in words["machine_verbs"] for word in before)
            and not (before[-1:] and before[-1] in small_words("taking") and before[-2:-1] == ["it"])
            else OWN
        )
    return None


def rests_for(board: Board, item: Claim, items: Sequence[Claim]) -> bool:
    """'runs four minutes and sits for ten', 'fourteen minutes on and off six': the other half of a cycle, no unit."""
    if item.label != "amount" or item.value.unit is not None or item.value.value is None:
        return False
    ahead = [other for other in items if other.last < item.first]
    if not ahead or seconds_of(ahead[-1]) is None:
        return False
    led = board.word(item.first - 1)
    if led == "on" and all(board.word(at) != "off" for at in range(item.first)):
        return False  # 'ran it ten minutes on seventy two'
    if led in small_words("rest_verbs"):
        return True  # 'runs four minutes sits nine'
    return led in small_words("cycle_halves") or (led == "for" and board.word(item.first - 2) in small_words("rests"))


def _is_half_a_cycle(board: Board, item: Claim) -> bool:
    """'she's off for three minutes', 'it comes on for forty seconds': how a machine cycles, whoever is called 'she'."""
    seconds, led = seconds_of(item), item.first - 1
    if seconds is None or seconds >= SECONDS["hour"] or board.word(led) != "for":
        return False
    return board.word(led - 1) in small_words("cycle_halves") and board.word(led - 2) in small_words("goes_on_off")


def _other_half(board: Board, item: Claim, items: Sequence[Claim]) -> bool:
    """'runs forty seconds and then she's off for three minutes': both halves of a cycle, each with its unit."""
    ahead = [other for other in items if other.last < item.first]
    if not ahead or seconds_of(ahead[-1]) is None:
        return False
    led = board.word(item.first - 1)
    return led in small_words("rest_verbs") or (led == "for" and board.word(item.first - 2) in small_words("rests"))


def took_to_act(board: Board, item: Claim) -> bool:
    """'ninety seconds to trip', 'drops out after seven seconds': how long something took to do what it does."""
    words = table("not_readings")["takes_to"]
    at = item.first - 1
    while board.word(at) in small_words("lengthening"):
        at -= 1
    behind = board.word(item.last + 1) == "to" and board.word(item.last + 2) in words
    told = max((c.last + 1 for c in board.labelled("amount") if c.last < at), default=0)
    acted = {board.word(n) for n in range(max(told, at - ACTED_REACH), at)}  # not 'trips at nine after ninety seconds'
    people = set(table("not_readings")["people"]) & {board.word(n) for n in range(max(0, at - ACT_REACH), at)}
    led = board.word(at) == "after" or (board.word(at) == "in" and not people)
    shone = board.word(at) == "for" and not acted.isdisjoint(table("not_readings")["acts_for"])
    return behind or shone or (led and not acted.isdisjoint(table("not_readings")["acts_after"]))


def _clocked(board: Board) -> bool:
    """'timed it with my phone', 'by my watch': whoever is named, the time is the machine's."""
    return any(piece.text in small_words("clocks") for piece in board.pieces)


def _before(board: Board, at: int, phrase: str) -> bool:
    words = phrase.split()
    for lead in (0, 1):
        start = at - lead - len(words)
        if start >= 0 and [board.word(place) for place in range(start, at - lead)] == words:
            return lead == 0 or board.word(at - 1) in small_words("lengthening")
    return False


def _qualifies(board: Board, item: Claim, items: Sequence[Claim]) -> int | None:
    """Return which other amount of the utterance a time belongs to: 'held twelve minutes', 'after ten minutes'."""
    others = [
        n
        for n, other in enumerate(items)
        if other is not item and seconds_of(other) is None and not rests_for(board, other, items)
    ]
    if not others:
        return None
    later = [n for n in others if board.word(item.last + 1) == "later" and items[n].first > item.last]
    if later:
        return later[0]  # 'twenty minutes later still three hundred'
    if item.first <= 1 and _and_it_stays(board, item):
        return next((n for n in others if items[n].first > item.last), None)
    start = item.first
    while board.word(start - 1) in small_words("lasting"):
        start -= 1
    lead = [board.word(place) for place in range(max(0, start - 2), item.first)]
    if lead[-1:] != ["in"]:
        lead = [word for word in lead if word != "in"]  # 'been in defrost eighteen minutes' is a time of its own
    if not any(word in table("not_readings")["held_words"] for word in lead) or " ".join(lead) == "in at":
        return None  # 'harvest came in at two minutes' is a value of its own
    behind = [n for n in others if items[n].first > item.last]
    ahead = [n for n in others if items[n].last < item.first]
    if (
        not small_words("begins_to_hold").isdisjoint(lead)
        and behind
        and (not ahead or (board.word(item.first - 1) == "after" and _opens(board, item)))
    ):
        return behind[0]
    if behind and board.word(item.last + 1) == "at":
        return behind[0]  # 'held ten minutes at three ten'
    return ahead[-1] if ahead else behind[0]


def _of_number_before(board: Board, item: Claim, items: Sequence[Claim]) -> bool:
    """'set at two fifty for ten minutes': how long what was set just before it stays."""
    return any(other.last == item.first - 2 for other in items) and board.word(item.first - 1) == "for"


def said_still(board: Board, item: Claim) -> bool:
    """'still three hundred', 'it's still at three hundred': what was read before holds."""
    return board.word(item.first - 1 - (board.word(item.first - 1) == "at")) == "still"


def of_another(board: Board, item: Claim, items: Sequence[Claim]) -> bool:
    """Return whether an item is the time that another number held."""
    return seconds_of(item) is not None and _qualifies(board, item, items) is not None


def _and_it_stays(board: Board, item: Claim) -> bool:
    """'fifteen minutes and it's still sitting at three hundred': a time that opens an utterance, and what held."""
    joined = board.word(item.last + 1) == "and" and board.word(item.last + 2) in small_words("it")
    words = table("not_readings")
    return joined and _says(board, *words["proves_held"], *words["stays"])


def _says(board: Board, *words: str) -> bool:
    """Return whether one of some words is said, and is no quantity ('sat' may be a saturation)."""
    kinds = {at for claim in board.labelled("kind") for at in range(claim.first, claim.last + 1)}
    return any(piece.text in words and at not in kinds for at, piece in enumerate(board.pieces))


def _opens(board: Board, item: Claim) -> bool:
    return board.word(item.first - 2) in small_words("before_a_start") or item.first <= 2


def held_seconds(board: Board, items: Sequence[Claim], place: int, unit: str | None) -> Decimal | None:
    """Return how long the reading at ``place`` held, when a time of the utterance says so."""
    proven = said_still(board, items[place]) or _says(board, *table("not_readings")["proves_held"])
    isolated = unit == "micron_Hg" or any(c.value == "nitrogen" for c in board.labelled("component"))
    if not proven and not isolated:
        return None
    for item in items:
        seconds = seconds_of(item)
        if seconds is not None and _qualifies(board, item, items) == place and (proven or not _ran(board, item)):
            return seconds
    return None


def _ran(board: Board, item: Claim) -> bool:
    """'pump's been running two hours, four hundred microns': how long it ran, not how long that held."""
    return board.word(item.first - 1) in small_words("ran")
