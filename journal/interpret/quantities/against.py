"""A number without a name that is set against a value just told: what should be, what is, what it is by now.

'seventeen degree td and i'd want to see ten', 'should be twelve, it's nine', 'scrubbed it ... three point eight': kind,
unit and part are those of the value it is set against, unless others are named for it.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import Reading, Role
from journal.interpret.context import Context, Draft
from journal.interpret.numbers.amounts import Amount, shared_unit
from journal.interpret.places.behind import Bound
from journal.interpret.quantities.surroundings import DIFFERENCES
from journal.interpret.quantities.topics import topics_said
from journal.interpret.quantities.unit_doubts import CLOSE
from journal.interpret.sentence import Sentence
from journal.interpret.standing.durations import SECONDS, seconds_of
from journal.interpret.vocabulary import small_words, table

AS_NEAR = Decimal("1.5")  # factor within which a second value is about as near as the first
RECENTLY = 30.0  # seconds in which a pressure is what a refrigerant's should be set against
REACH = 6  # readings looked back at
FAR = Decimal(6)  # factor by which what is may miss what should be: a receiver at ten per cent instead of forty
PRINTED = (Kind.SPEED, Kind.CURRENT, Kind.VOLTAGE, Kind.POWER, Kind.AIRFLOW, Kind.CAPACITANCE, Kind.PRESSURE)


def set_against(sentence: Sentence, place: int, context: Context) -> Reading | None:
    """Return the reading that a number without a name of its own is set against."""
    item = sentence.items[place]
    told = list(_told(context))
    if item.label != "amount" or not told or not _nameless(sentence, place, told[0], context):
        return None
    amount, role = item.value, sentence.stands[place].role
    if sentence.stands[place].withheld is not None or sentence.stands[place].acted:
        return None
    if place and sentence.stands[place - 1].withheld == "memory":
        return None  # 'it drew six point two yesterday and it's six point one today'
    newest = told[0].reading
    if role is Role.EXPECTED and (pressure := _of_refrigerant(sentence, place, context, told[0])) is not None:
        return pressure if _same_size(pressure, amount, FAR) else None
    if role in (Role.EXPECTED, Role.NAMEPLATE):
        fits = newest.role in (Role.MEASURED, Role.SETTING) and _same_size(newest, amount, FAR)
        if role is Role.EXPECTED and newest.role is Role.NAMEPLATE:
            fits = _same_size(newest, amount, CLOSE)  # 'plate is two point eight, i figure two and a half'
        return newest if fits and (role is Role.EXPECTED or _printed(newest, amount)) else None
    if role is not Role.MEASURED or amount.unit in SECONDS:
        return None  # 'twenty minutes later' is no second harvest time
    if newest.role is Role.MEASURED:
        candidates = told_with(context, told[0])
        candidates = candidates if _by_now(sentence, place) else []
        factor = FAR if _done_since(sentence, place) else CLOSE
    else:
        candidates = list(_wanted(told)) if _is_read(sentence, place) else []
        factor = CLOSE
    return nearest(amount, [reading for reading in candidates if _same_size(reading, amount, factor)])


def _of_refrigerant(sentence: Sentence, place: int, context: Context, newest: Draft) -> Reading | None:
    """'... pressure's one eighty seven, r twenty two at seventy eight should be one forty': a refrigerant should have a
    pressure, whatever temperature was told last."""
    item = sentence.items[place]
    ahead = [other.last for other in sentence.items[:place]]
    since = ahead[-1] if ahead else -1
    since = ahead[-2] if len(ahead) > 1 and sentence.board.word(sentence.items[place - 1].first - 1) == "at" else since
    named = any(since < claim.first < item.first for claim in sentence.board.labelled("refrigerant"))
    earlier = [draft.reading for draft in reversed(context.drafts[-REACH:]) if context.now - draft.at < RECENTLY]
    told = [reading for reading in [*told_with(context, newest), *earlier] if reading.kind is Kind.PRESSURE]
    return told[0] if named and told else None


def nearest(amount: Amount, candidates: list[Reading]) -> Reading | None:
    """'one fifty psi at seventy two degrees, an hour later one forty eight': of each kind the newest, of these the
    nearest in size."""
    return min(_newest_of_kinds(candidates), key=lambda reading: _ratio(reading, amount), default=None)


def rival(amount: Amount, chosen: Reading, candidates: list[Reading]) -> Reading | None:
    """'head one forty with ninety degree air, it dropped to one ten': another that is about as near in size."""
    others = [reading for reading in _newest_of_kinds(candidates) if reading.kind is not chosen.kind]
    other = min(others, key=lambda reading: _ratio(reading, amount), default=None)
    return other if other is not None and _ratio(other, amount) < _ratio(chosen, amount) * AS_NEAR else None


def _newest_of_kinds(candidates: list[Reading]) -> list[Reading]:
    newest: dict[Kind, Reading] = {}
    for reading in candidates:
        newest.setdefault(reading.kind, reading)
    return list(newest.values())


def told_with(context: Context, newest: Draft) -> list[Reading]:
    """What was measured in the same utterance as the newest reading, the newest first."""
    told = [d.reading for d in reversed(context.drafts[-REACH:]) if d.at == newest.at and not d.reading.withdrawn]
    return [reading for reading in told if reading.role is Role.MEASURED and reading.value]


def _ratio(before: Reading, amount: Amount) -> Decimal:
    size, own = abs(before.value or before.high or before.low or Decimal(1)), abs(amount.key) or Decimal(1)
    return max(size / own, own / size)


def _told(context: Context) -> Iterator[Draft]:
    """The readings told last, the newest first; none when the newest is an old one."""
    if context.last() is None:
        return
    for draft in reversed(context.drafts[-REACH:]):
        if not draft.reading.withdrawn and draft.reading.unit is not None:
            yield draft


def _wanted(told: list[Draft]) -> Iterator[Reading]:
    """The values wanted or printed that were told last, up to the first that was measured."""
    for draft in told:
        reading = draft.reading
        if reading.role not in (Role.EXPECTED, Role.NAMEPLATE, Role.SETTING):
            return
        part = table("components")[reading.component] if reading.component else {}
        if reading.role is not Role.SETTING or not (part.get("role") or reading.component in _settable()):
            yield reading


def _settable() -> list[str]:
    parts: list[str] = table("work")["set"]["only"]
    return parts


def _nameless(sentence: Sentence, place: int, newest: Draft, context: Context) -> bool:
    """No kind, point, machine or part was named for the number, and none since the reading before."""
    board, item = sentence.board, sentence.items[place]
    if (sentence.kinds[place], sentence.points[place], sentence.machines[place]) != (None, None, None):
        return False
    start = _start(sentence, place)
    if not same_unit(item.value, newest.reading.unit) and sentence.stands[place].role is not Role.MEASURED:
        return False
    for hit in topics_said(board):
        units = [entry["unit"] for entry in table("unsaid")[hit.name]["unsaid"]]
        if sentence.stands[place].role is Role.NAMEPLATE and set(units) <= {"degF"}:
            continue  # 'on the machine in the kitchen, plate says two oh eight': no plate tells how warm a room is
        if start <= hit.first < item.first and newest.reading.unit not in units:
            return False
    named_since = context.component is not None and newest.at < context.component_at < context.now
    if named_since and context.component not in (newest.reading.component, *context.worked):
        return False
    if context.kind is not None or (context.points is not None and context.points_at > newest.at):
        return False
    bound = sentence.components[place]
    return bound is None or _of_before(sentence, place, bound, newest.reading)


def _of_before(sentence: Sentence, place: int, bound: Bound, before: Reading) -> bool:
    """The part bound to the number is that of the reading before, or was worked on and 'it' is what was read."""
    if bound.claim.value == before.component:
        return True
    part = before.component or ""
    if bound.claim.value == "motor" and part.endswith("motor"):
        return bound.how == "before"  # 'fan's turning eight hundred, the tag on that motor says eleven forty'
    return sentence.stands[place].role is Role.MEASURED and only_worked_on(sentence, place, bound)


def only_worked_on(sentence: Sentence, place: int, bound: Bound) -> bool:
    """'after i cleaned the condenser it's': the part was worked on, and 'it' is what was told of before."""
    board, item = sentence.board, sentence.items[place]
    if bound.how != "before":
        return False
    told = range(_start(sentence, place), bound.claim.first)
    after = any(board.word(at) in small_words("done_before") | small_words("with_it_done") for at in told)
    done = any(bound.claim.value in c.value.components and c.first < item.first for c in board.labelled("work"))
    done = done or board.word(bound.claim.first - 1) == "new"
    it = any(board.word(at) in small_words("it") for at in range(bound.claim.last + 1, item.first))
    return it and (after or done)


def _start(sentence: Sentence, place: int) -> int:
    """Where the words about a number begin: behind the number before it that is no time."""
    before = [item.last + 1 for item in sentence.items[:place] if seconds_of(item) is None]
    return before[-1] if before else 0


def _is_read(sentence: Sentence, place: int) -> bool:
    """'i'm getting', 'it's', 'we're at' right before the number."""
    led = sentence.board.word(sentence.items[place].first - 1)
    return sentence.stands[place].said or led in small_words("copulas") | small_words("it") | small_words("by_now")


def _by_now(sentence: Sentence, place: int) -> bool:
    """'twenty minutes later it's', 'after i scrubbed it', 'and now it's' before the number; or 'it's' alone."""
    board, item = sentence.board, sentence.items[place]
    if any(sentence.lists[n] == sentence.lists[place] for n in range(place)):
        return False
    words = [board.word(at) for at in range(_start(sentence, place), item.first)]
    done = _done_since(sentence, place)
    if not _is_read(sentence, place) and not done:
        return False
    behind = board.word(item.last + 1)
    opens = item.first <= 2 and board.word(item.first - 1) in small_words("it")
    bound = sentence.components[place]
    worked = bound is not None and only_worked_on(sentence, place, bound)
    return done or worked or bool(small_words("by_now").intersection((*words, behind))) or opens


def _done_since(sentence: Sentence, place: int) -> bool:
    """'after i scrubbed it', 'once i opened the valve' before the number."""
    told = range(_start(sentence, place), sentence.items[place].first)
    return any(sentence.board.word(at) in small_words("done_before") for at in told)


def _printed(before: Reading, amount: Amount) -> bool:
    """A plate tells such quantities; a usual mains voltage on it is one, whatever was measured."""
    mains = before.kind is not Kind.VOLTAGE and amount.value in table("unsaid")["mains_volts"]
    return before.kind in (*PRINTED, *DIFFERENCES) and not mains


def _same_size(before: Reading, amount: Amount, factor: Decimal) -> bool:
    sizes = [abs(size) * SECONDS.get(before.unit or "", 1) for size in (before.value, before.low, before.high) if size]
    own = [
        abs(size) * SECONDS.get(amount.unit or before.unit or "", 1)
        for size in (amount.value, amount.low, amount.high)
        if size
    ]
    if not same_unit(amount, before.unit) or not sizes or not own:
        return False
    return min(sizes) / factor <= max(own) and min(own) <= max(sizes) * factor


def same_unit(amount: Amount, unit: str | None) -> bool:
    """The unit is not said, or is one that the reading before may have had."""
    if unit is None or amount.unit in (None, unit):
        return unit is not None
    if amount.unit in SECONDS and unit in SECONDS:
        return True
    if not (amount.unit or "").startswith("shared"):
        return amount.unit == unit.removeprefix("delta_")
    entry = shared_unit(amount.unit or "")
    return unit.removeprefix("delta_") in {entry["unit"], *(when["unit"] for when in entry["when"])}
