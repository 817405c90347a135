"""The usual cautions where work can hurt somebody: by topic, from ``cautions.toml``.

They are raised when a step is announced, once for a visit and topic; they defer to local codes, the maker's
instructions and licensed practice.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources

from journal.domain.verdict import Outcome, Verdict
from journal.domain.visit import Equipment
from journal.judge import refrigerants


@dataclass(frozen=True, slots=True)
class Caution:
    """One topic: its sentence, where it comes from, and the announced steps that call for it."""

    topic: str
    text: str
    source: str
    mark: str
    steps: tuple[str, ...] = ()
    left_behind: str = ""  # what a customer's copy says when the hazard stays after the visit


@cache
def topics() -> dict[str, Caution]:
    """Return every caution by its topic."""
    text = resources.files("journal.judge").joinpath("cautions.toml").read_text(encoding="utf-8")
    found = {}
    for topic, entry in tomllib.loads(text).items():
        found[topic] = Caution(
            topic,
            entry["text"],
            entry["source"],
            entry["mark"],
            tuple(entry.get("steps", ())),
            entry.get("left_behind", ""),
        )
        if not (found[topic].text and found[topic].source and found[topic].mark):
            raise ValueError(f"cautions.toml: {topic} needs text, source and mark")
    return found


def text(topic: str) -> str:
    """Return the sentence of a topic."""
    return topics()[topic].text


@cache
def _patterns() -> dict[str, re.Pattern[str]]:
    """Return for each topic what an announced step must hold: its name or one of its words, plural or not."""
    return {
        topic: re.compile("|".join(rf"\b{re.escape(words)}s?\b" for words in (topic, *caution.steps)))
        for topic, caution in topics().items()
    }


#: work on the circuit, at which a refrigerant that burns or stands at high pressure has its own caution
_ON_THE_CIRCUIT = ("refrigerant handling", "brazing", "nitrogen", "vacuum", "trapped liquid", "leaked gas")


def for_steps(steps: Sequence[str], equipment: Sequence[Equipment] = ()) -> tuple[str, ...]:
    """Return the topics that announced steps call for, each once, in the order they were announced.

    ``equipment`` adds what its refrigerant calls for as soon as work on the circuit is announced.
    """
    found: dict[str, None] = {}
    for step in steps:
        said = " ".join(re.findall(r"[a-z0-9]+", step.lower()))
        for topic, pattern in _patterns().items():
            if pattern.search(said):
                found[topic] = None
    if any(topic in found for topic in _ON_THE_CIRCUIT):
        for machine in equipment:
            entry = refrigerants.known(machine.refrigerant or "")
            if entry is not None:
                found |= dict.fromkeys(_of_refrigerant(entry))
    return tuple(found)


def _of_refrigerant(entry: refrigerants.Refrigerant) -> tuple[str, ...]:
    if entry.name == "R-717":
        return ("ammonia",)
    if entry.name == "R-744":
        return ("high pressure",)
    return ("flammable refrigerant",) if entry.burns else ()


#: check -> the hazard that stays when it was last found outside its limits
_LEFT = {
    "winding-to-ground": "compressor terminals",
    "product-temperature": "food",
    "overcurrent-device": "overcurrent protection",
    "carbon-monoxide": "combustion gas",
}
_LEAKS = ("standing-pressure", "vacuum-decay")


def left_behind(verdicts: Sequence[Verdict], equipment: Sequence[Equipment] = ()) -> tuple[str, ...]:
    """Return the hazards that stay at the place after a visit, as sentences for the customer's copy.

    A hazard stays when the last verdict of its check on that machine and part was out of limits.
    """
    last: dict[tuple[str, str | None, str | None], Verdict] = {}
    for verdict in verdicts:
        key = (verdict.check, verdict.equipment, verdict.component)
        if key not in last or verdict.phase == "as left" or last[key].phase != "as left":
            last[key] = verdict
    burning = {m.name for m in equipment if (r := refrigerants.known(m.refrigerant or "")) is not None and r.burns}
    found: dict[str, None] = {}
    for (check, machine, component), verdict in last.items():
        if verdict.outcome is not Outcome.OUTSIDE:
            continue
        topic = _LEFT.get(check)
        if check == "winding-to-ground" and component != "compressor":
            topic = None
        if check in _LEAKS and machine in burning:
            topic = "flammable refrigerant"
        if topic is not None and topics()[topic].left_behind:
            found[topics()[topic].left_behind] = None
    return tuple(found)
