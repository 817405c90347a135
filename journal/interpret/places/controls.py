"""Controls: which one a number belongs to that was set, or at which one was seen to act."""

from __future__ import annotations

from journal.domain.reading import Role
from journal.interpret.context import CARRY_LASTS, Context
from journal.interpret.numbers.amounts import units_of
from journal.interpret.quantities.topics import topic_hit
from journal.interpret.sentence import Sentence
from journal.interpret.vocabulary import small_words, table

PRESSURE_CONTROLS: tuple[str, ...] = tuple(table("unsaid")["controls"]["acting"])
CONTROL_LASTS = 120.0  # seconds in which 'it tripped' may mean a control named before
ACT_REACH = 5  # words before the number of a control that acts: 'it tripped out at'
IT_REACH = 3  # words from 'it's set at' to its number
RECENT = 4  # readings looked back at for a control that was named before another part


def acting(sentence: Sentence, place: int, context: Context) -> str | None:
    """'cut the low pressure control in at forty, wrong for this box' ... 'cut in is now fifty': still the control's."""
    if _acted_at(sentence, place, context):
        return context.control
    hit = topic_hit(sentence, place)
    controls = table("unsaid")[hit.name].get("acting", ()) if hit is not None else ()
    if context.component in controls or context.waits:
        return None
    recent = [draft.reading.component for draft in context.drafts[-RECENT:] if context.now - draft.at <= CARRY_LASTS]
    return next((component for component in reversed(recent) if component in controls), None)


def _acted_at(sentence: Sentence, place: int, context: Context) -> bool:
    """'high pressure switch test, let the head climb' ... 'it tripped at four hundred psi': the control did."""
    item, recent = sentence.items[place], context.now - context.control_at <= CONTROL_LASTS
    if context.control is None or not recent or not sentence.stands[place].acted or item.label != "amount":
        return False
    units = units_of(item.value.unit) if item.value.unit is not None else ("psi",)
    lead = {sentence.board.word(at) for at in range(item.first - ACT_REACH, item.first)}
    return context.component not in PRESSURE_CONTROLS and "it" in lead and "psi" in units


def set_before(sentence: Sentence, place: int, context: Context) -> str | None:
    """'thermostat was at twenty eight, no wonder the coil's a snowball, so i put it up to thirty six': 'it' is what was
    set before, unless another control was named since."""
    stand, bound = sentence.stands[place], sentence.components[place]
    first = sentence.items[place].first
    it = "it" in stand.cue.split() or any(
        sentence.board.word(at) in small_words("it") for at in range(first - IT_REACH, first)
    )
    if stand.role is not Role.SETTING or not it:
        return None
    named = bound.claim.value if bound is not None else context.carried_component()
    if named is None or _is_set(named):
        return None
    recent = [draft.reading for draft in context.drafts[-RECENT:] if context.now - draft.at <= CARRY_LASTS]
    before = next((r.component for r in reversed(recent) if r.role is Role.SETTING and r.component is not None), None)
    here = [c.value for c in sentence.board.labelled("component") if c.last < sentence.items[place].first]
    spoken = [*reversed(here), *context.spoken_lately()]
    return before or next((name for name in spoken if name in PRESSURE_CONTROLS), None)


def _is_set(part: str) -> bool:
    """Controls, and everything else that has settings of its own."""
    return bool(table("components")[part].get("role")) or part in table("work")["set"]["only"]
