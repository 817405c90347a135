"""States as readings: open, shorted, continuity, present, absent, at the place they were shown."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from journal.domain.kind import Kind
from journal.domain.reading import Doubt, Reading, Role, State
from journal.interpret.board import Board, Claim
from journal.interpret.context import Context, Draft
from journal.interpret.evidence import evidence_of
from journal.interpret.places.equipment import machine_behind
from journal.interpret.places.having import ELECTRICAL
from journal.interpret.places.placing import at_points
from journal.interpret.places.windings import has_windings, part_here, wound_part
from journal.interpret.quantities.looking import look_around
from journal.interpret.quantities.surroundings import Surroundings
from journal.interpret.seen.metered import JUST_NOW, it_again
from journal.interpret.seen.states import Shown, surely_shown
from journal.interpret.sentence import Sentence
from journal.interpret.standing.circumstances import instrument_for
from journal.interpret.standing.details import all_conditions
from journal.interpret.standing.durations import seconds_of
from journal.interpret.tagger.tags import SURE_READ
from journal.interpret.vocabulary import small_words, table

SURE_OF_MEANT = 0.8  # share of the tagger
SURE_ALONE = 0.997  # the same for 'open', 'closed' with neither a part nor points: doors are, too
PLACELESS = "No part and no points were named; only the words around it say that a meter showed it."
CLOSE = 3  # words that may stand between a part and 'open'
CLOSE_OHMED = 6  # the same where it was just ohmed
DENIED = {State.CONTINUITY: State.OPEN, State.PRESENT: State.ABSENT}  # 'not getting any continuity'


def state_drafts(sentence: Sentence, place: int, context: Context) -> Iterator[Draft]:
    shown: Shown = sentence.items[place].value
    if sentence.stands[place].role is not Role.MEASURED:
        return  # 'ought to be closed', 'should be dead': a rule, and nothing that a meter showed
    around = look_around(sentence, place, context)
    if around.component is not None:
        around.component = part_here(around.component, sentence.board, sentence.items[place].first, around, shown.kind)
    stand = sentence.stands[place]
    electrical = around.component is not None and bool(table("components")[around.component].get("electrical"))
    said = (
        sentence.components[place] is not None
        or _of_one_named(sentence, place)
        or sentence.points[place] is not None
        or context.waiting_points() is not None
    )
    pointed = around.points is not None
    corrected = _puts_right(sentence, place, context) or it_again(sentence, place, context)
    inherit = corrected or around.topic == "windings"
    item = sentence.items[place]
    placed = pointed or (electrical and said)
    least = SURE_READ if placed or not shown.electrical else SURE_ALONE
    sure = surely_shown(sentence.board, item.first, item.last, shown.state, least)
    if shown.told_otherwise and not sure:
        return
    if not sure and (
        not (pointed or (electrical and (said or not shown.electrical)))
        and not inherit
        and not _in_turn(sentence, place, context)
        and not _of_another(sentence, place)
        and not (_list_of_readings(sentence, place) and (electrical or around.component is None))
    ):
        return
    if shown.form in table("states")["absent"]["of_supplied"] and not pointed and not _supplied(around):
        return  # 'the compressor's dead', 'the board's dead' say that it does not work
    if (
        shown.electrical
        and not (pointed or sure)
        and not (_stands_close(sentence, place, context) or _is_it(sentence, place, corrected))
    ):
        return
    state, kind = shown.state, shown.kind
    if stand.withheld == "negated":
        if state not in DENIED:
            return
        state = DENIED[state]
    if state is State.ABSENT and kind is Kind.VOLTAGE:
        if _means_open(around, context):
            state, kind = State.OPEN, Kind.RESISTANCE
        elif shown.form in table("states")["absent"]["vague"]:
            state, kind = _meant(sentence, place)
    if around.component in ("capacitor", "run capacitor", "dual capacitor") and state is State.ABSENT:
        return
    component = around.component
    if around.component_how != "said" and kind is Kind.RESISTANCE and has_windings(around.points):
        component = wound_part(around)
    machine = machine_behind(sentence.board, sentence.items, place) or context.equipment
    reading = Reading(
        kind=kind, role=stand.role, state=state, component=component, equipment=machine,
        phase=sentence.phases[place], conditions=all_conditions(sentence, place, context, None),
        trend=None, heard_by=(sentence.board.utterance.heard_by,), evidence=evidence_of(sentence, place),
        instrument=instrument_for(context.instrument, kind),
    )  # fmt: skip
    if shown.electrical and not placed and not inherit:
        reading = replace(reading, doubts=(Doubt("maybe no reading", PLACELESS),))
    yield from at_points(reading, sentence, place, context, around, stand)


def _meant(sentence: Sentence, place: int) -> tuple[State, Kind]:
    """'fuse one has tone fuse three nothing', 'left motor one amp right motor nothing': of what there was nothing, by
    what was shown right before and the words around it."""
    item = sentence.items[place]
    before = sentence.items[place - 1] if place else None
    if before is not None and before.label == "state" and before.value.state is State.CONTINUITY:
        return State.OPEN, Kind.RESISTANCE
    kinds = sentence.board.tags.kinds(item.first, item.last)
    if kinds.get(Kind.RESISTANCE.value, 0.0) >= SURE_OF_MEANT:
        return State.OPEN, Kind.RESISTANCE
    return State.ABSENT, Kind.CURRENT if kinds.get(Kind.CURRENT.value, 0.0) >= SURE_OF_MEANT else Kind.VOLTAGE


def _puts_right(sentence: Sentence, place: int, context: Context) -> bool:
    """'head's two forty, scratch that, my valve was closed': a state can only stand for what a meter would show."""
    return context.inherit is not None and context.inherit.reading.kind in ELECTRICAL


def _is_it(sentence: Sentence, place: int, corrected: bool) -> bool:
    """'run to start three ohms no wait it's open': what was measured before, put right."""
    return corrected and sentence.board.word(sentence.items[place].first - 1) in small_words("it")


def _supplied(around: Surroundings) -> bool:
    return around.component in table("states")["absent"]["supplied"]


def _list_of_readings(sentence: Sentence, place: int) -> bool:
    """'eight point one eight point two and open': a state at the end of a list of numbers of a meter."""
    kind = sentence.kinds[place - 1] if place else None
    if place and seconds_of(sentence.items[place - 1]) is not None:
        return False  # 'glows for thirty seconds and then nothing'
    if kind is not None and Kind(kind.claim.value) not in ELECTRICAL:
        return False
    return (
        place > 0 and sentence.lists[place] == sentence.lists[place - 1] and sentence.items[place - 1].label == "amount"
    )


def _of_another(sentence: Sentence, place: int) -> bool:
    """'the discharge one's open': said of another part like the one spoken of."""
    board, at = sentence.board, sentence.items[place].first - 1
    if board.word(at) in table("unsaid")["verbs"]["forms"] and board.owner[at] is None:
        at -= 1
    owner = board.owner[at] if at >= 0 else None
    return owner is not None and owner.rule == "another of these" and sentence.components[place] is None


def _in_turn(sentence: Sentence, place: int, context: Context) -> bool:
    """'first one's got continuity ... and the third one is open': parts of one kind, each with its state."""
    if sentence.components[place] is not None:
        return False
    if _numbered_next(sentence, place, context):
        return True
    last = context.last()
    ohmed = last is not None and context.now - last.at <= JUST_NOW and last.reading.kind is Kind.RESISTANCE
    ohmed = ohmed or (bool(place) and _behind_ohms(sentence, place))
    if not ohmed and (not place or sentence.items[place - 1].label != "state"):
        return False
    board, at = sentence.board, sentence.items[place].first - 1
    if board.word(at) in table("unsaid")["verbs"]["forms"] and board.owner[at] is None:
        at -= 1
    owner = board.owner[at] if at >= 0 else None
    return (
        owner is not None
        and owner.label == "no reading"
        and owner.value in ("pronoun", "name", "words that count nothing")
    )


def _numbered_next(sentence: Sentence, place: int, context: Context) -> bool:
    """'heater number one is twenty four ohms' ... 'number three's open': one of those just ohmed, by its number."""
    board, at, last = sentence.board, sentence.items[place].first - 1, context.last()
    if last is None or last.reading.kind is not Kind.RESISTANCE or last.reading.component is None:
        return False
    if board.word(at) in table("unsaid")["verbs"]["forms"] and board.owner[at] is None:
        at -= 1
    owner = board.owner[at] if at >= 0 else None
    return owner is not None and owner.label == "no reading" and owner.value == "name"


def _behind_ohms(sentence: Sentence, place: int) -> bool:
    """'ten ohms on the first and the second one's open': the first of them was ohmed right before."""
    board, before = sentence.board, sentence.items[place - 1]
    ohmed = before.label == "amount" and before.value.unit == "ohm"
    counted = {board.word(at) for at in range(before.last + 1, sentence.items[place].first)}
    return ohmed and len(counted & set(table("not_readings")["dates"]["ordinals"])) > 1


def _of_one_named(sentence: Sentence, place: int) -> bool:
    """'middle one twenty nine ohms, bottom one is open': one of the parts just measured."""
    item = sentence.items[place]
    before = sentence.board.owner[item.first - 1] if item.first else None
    return place > 0 and before is not None and before.rule == "one of several"


def _stands_close(sentence: Sentence, place: int, context: Context) -> bool:
    """'contactor coil's open', not 'the disconnect ... leave it open'."""
    bound = sentence.components[place]
    item = sentence.items[place]
    if bound is None:
        in_turn = _in_turn(sentence, place, context) or _of_another(sentence, place)
        return _list_of_readings(sentence, place) or in_turn or _of_one_named(sentence, place)
    if bound.how == "before" and _is_one_of_them(sentence, item):
        return True
    end = _end_of_name(sentence.board, bound.claim, item)
    between = [at for at in range(end + 1, item.first) if not _is_its_number(sentence, at)]
    words, most = set(table("unsaid")["verbs"]["forms"]) | small_words("before_states"), CLOSE
    if any(c.label == "kind" and c.value == Kind.RESISTANCE and c.last < item.first for c in sentence.board.claims):
        words |= small_words("and_it") | small_words("concluding")  # 'ohmed the coil and yep it's open'
        most = CLOSE_OHMED
    plain = len(between) <= most and all(sentence.board.word(at) in words for at in between)
    return bound.how != "before" or plain


def _is_its_number(sentence: Sentence, at: int) -> bool:
    """'heater three's open': which of the heaters."""
    owner = sentence.board.owner[at]
    return owner is not None and owner.label == "no reading"


def _is_one_of_them(sentence: Sentence, item: Claim) -> bool:
    """'three fuses in the disconnect and the middle one's open': one of the parts just named."""
    board, at = sentence.board, item.first - 1
    if board.word(at) in table("unsaid")["verbs"]["forms"] and board.owner[at] is None:
        at -= 1
    owner = board.owner[at] if at >= 0 else None
    return owner is not None and owner.label == "no reading" and owner.value == "pronoun"


def _end_of_name(board: Board, part: Claim, item: Claim) -> int:
    """'overload on the compressor's open': the name of a part goes on with what it is on."""
    end, tied = part.last, small_words("component_ties") | small_words("component_articles")
    for other in board.labelled("component"):
        between = [board.word(at) for at in range(end + 1, other.first)]
        if end < other.first and other.last < item.first and between and all(word in tied for word in between):
            end = other.last
    return end


def _means_open(around: Surroundings, context: Context) -> bool:
    if context.mode is Kind.RESISTANCE:
        return True
    points = around.points
    if points is None or context.mode is Kind.VOLTAGE:
        return False
    families = [{family for family, _ in half} for half in points.halves]
    if _ohmed_just_now(context) and len(families) == 2 and any("winding" in family for family in families):
        return True
    return any("winding" in family and "control" not in family for family in families) or (
        len(families) == 1 and families[0] == {"any"}
    )


def _ohmed_just_now(context: Context) -> bool:
    """'common to run two ohms and common to ground nothing': windings were measured in the same breath."""
    last = context.last()
    ohms = last is not None and last.reading.kind is Kind.RESISTANCE and last.reading.role is Role.MEASURED
    return last is not None and ohms and bool(last.reading.points) and last.at == context.now
