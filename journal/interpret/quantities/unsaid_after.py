"""Units taken from the reading right before: what moved, the next of several, a bound, a setting, a saturation."""

from __future__ import annotations

from journal.domain.kind import Kind
from journal.domain.reading import Doubt, Reading, Role
from journal.interpret.numbers.amounts import Amount
from journal.interpret.quantities.looked_up import equals_that, is_looked_up
from journal.interpret.quantities.surroundings import Quantity, Surroundings
from journal.interpret.quantities.unit_doubts import CLOSE
from journal.interpret.vocabulary import small_words, table

LIMIT_REACH = 3  # words from 'max' to its number
CHART_REACH = 7  # words from a number to 'chart'
LOOKED_BACK = 4  # readings in which a state or a zero is passed over


def from_split(amount: Amount, around: Surroundings) -> Quantity | None:
    """'return seventy four supply fifty five so that's nineteen across': the difference of the two before, said so."""
    last = [draft.reading for draft in around.context.drafts[-2:] if draft.at == around.context.now]
    values = [r.value for r in last if r.kind is Kind.TEMPERATURE and r.value is not None]
    across = around.board.word(amount.last + 1) in table("conditions")["drops_across"]
    if not across or len(values) != 2 or around.kind is not None or amount.value != abs(values[0] - values[1]):
        return None
    return Quantity("delta_degF", Kind.TEMPERATURE_DIFFERENCE, {"unit": "difference of the two before"})


def from_turn(amount: Amount, around: Surroundings) -> Quantity | None:
    """'number two's at fourteen amps and number three's at thirteen and a half': things of one kind, one by one."""
    last = around.context.last()
    if around.in_row and last is not None and last.reading.unit is not None:
        return Quantity(last.reading.unit, last.reading.kind, {"unit": "list"}, reference=last.reading.reference)
    alike = _alike(amount, around) if around.in_turn and around.component_how != "said" else None
    if alike is None:
        return None
    return Quantity(alike.unit or "", alike.kind, {"unit": "reading before"}, reference=alike.reference)


def _alike(amount: Amount, around: Surroundings) -> Reading | None:
    """The reading before when it is of the number's size; behind a state or a zero an earlier one of the same part.

    'four heaters, six amps six one and the last one's zero ... changed it and that one's six now'.
    """
    own = amount.key
    for draft in reversed(around.context.drafts[-LOOKED_BACK:]):
        reading = draft.reading
        size = reading.value
        if reading.unit is None or not size:
            if reading.component is None or reading.component != around.component:
                return None
            continue
        return reading if own and abs(size) / CLOSE <= abs(own) <= abs(size) * CLOSE else None
    return None


def from_drop(amount: Amount, around: Surroundings) -> Quantity | None:
    """'return seventy one, supply one oh four, so thirty three rise': a difference of temperatures just read."""
    last = around.context.last()
    behind = around.board.word(amount.last + 1) in table("conditions")["drops_behind"]
    if not behind or last is None or last.reading.kind is not Kind.TEMPERATURE or around.component_how == "said":
        return None
    return Quantity("delta_degF", Kind.TEMPERATURE_DIFFERENCE, {"unit": "difference from a neighbour"})


def from_setting(amount: Amount, around: Surroundings) -> Quantity | None:
    """'timer was at ninety minutes i moved it to sixty': a setting has one unit, wherever it is moved to."""
    last = around.context.last()
    if not around.set_to or around.component_how == "said" or last is None or last.reading.unit is None:
        return None
    size, evidence = last.reading.value, last.reading.evidence
    here = evidence is not None and evidence.utterance == around.board.utterance.index
    if not (here or last.reading.role is Role.SETTING) or size is None or not amount.key:
        return None
    if not abs(size) / CLOSE <= abs(amount.key) <= abs(size) * CLOSE:
        return None
    return Quantity(last.reading.unit, last.reading.kind, {"unit": "setting before"})


def from_limit(amount: Amount, around: Surroundings) -> Quantity | None:
    """'running at thirty eight hertz and the minimum's twenty': the bound of what was just read has its unit."""
    last, board = around.context.last(), around.board
    before = {board.word(at) for at in range(amount.first - LIMIT_REACH, amount.first)}
    if (
        last is None
        or last.reading.unit is None
        or around.component_how == "said"
        or not before & small_words("limits")
    ):
        return None
    evidence = last.reading.evidence
    if evidence is None or evidence.utterance != board.utterance.index:
        return None
    size = last.reading.value
    if size is None or not amount.key or not abs(size) / CLOSE <= abs(amount.key) <= abs(size) * CLOSE:
        return None
    source = "bound of the reading before" if last.said_unit else "reading before"
    return Quantity(last.reading.unit, last.reading.kind, {"unit": source}, reference=last.reading.reference)


def from_chart(amount: Amount, around: Surroundings) -> Quantity | None:
    """'suction's fifty eight, that's thirty two on the chart', 'sixty eight that's forty': a saturation looked up."""
    last, board = around.context.last(), around.board
    words = table("kinds")["saturation temperature"]
    if last is None or last.reading.kind is not Kind.PRESSURE or last.reading.unit != "psi" or around.printed:
        return None
    here = last.reading.evidence is not None and last.reading.evidence.utterance == board.utterance.index
    if not here or around.component_how == "said" or around.kind is not None or around.points is not None:
        return None
    led = any(board.text(amount.first - len(w.split()), amount.first - 1) == w for w in words["looked_up"])
    behind = range(amount.last + 1, min(amount.last + 1 + CHART_REACH, len(board.pieces)))
    chart = board.word(amount.last + 1) in small_words("looked_up") and any(board.word(at) == "chart" for at in behind)
    chart = chart or (equals_that(board, amount) and is_looked_up(amount, around))
    if not chart and (
        board.word(amount.first - 1) != "that's" or board.word(amount.last + 1) in table("conditions")["drops_across"]
    ):
        return None  # 'on at two eighty, off at two ten, that's seventy between'
    found = Quantity("degF", Kind.SATURATION_TEMPERATURE, {"unit": "pressure before"})
    if not chart:
        found.doubts.append(Doubt("kind unsure", "No chart was named; it may be another pressure."))
    return found if led or chart else None


def from_cycle(amount: Amount, around: Surroundings) -> Quantity | None:
    """'runs four minutes and sits for ten': both halves of a cycle are told in one unit."""
    last = around.context.last()
    if not around.rests or last is None or last.reading.kind is not Kind.DURATION or last.reading.unit is None:
        return None
    return Quantity(last.reading.unit, Kind.DURATION, {"unit": "reading before"})
