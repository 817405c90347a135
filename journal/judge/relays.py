"""Start relays, and the wires that lead to the machine."""

from __future__ import annotations

from journal.domain.kind import Kind
from journal.domain.reading import State
from journal.domain.verdict import Authority
from journal.judge.answers import judged, place, stated, undetermined
from journal.judge.check import OUTSIDE, WITHIN, Case, Check, Decision, Need, pairs
from journal.judge.numbers import show
from journal.judge.supply import LINE_TO_LINE


def _relay(case: Case, key: str) -> Decision:
    state = case.state("measured")
    if state in (State.OPEN, State.ABSENT):
        return stated(
            case,
            OUTSIDE,
            "The start relay is open there: the start winding gets no current, or the relay never lets go.",
            Authority.PHYSICS,
            formula="open",
            source="no current flows through an open path",
        )
    if state in (State.CONTINUITY, State.SHORT):
        if key == "start-relay.contact":
            return stated(
                case,
                WITHIN,
                "The relay's contact is closed at rest, as it should be.",
                Authority.PHYSICS,
                formula=str(state),
                source="a potential relay's contact is closed at rest",
            )
        return undetermined(case, "the resistance of the start relay in ohms")
    value = case.number("measured")
    return judged(case, value, case.limit(key), f"{show(value)} ohm")


def _relay_check(name: str, title: str, points: str, key: str, ask: str) -> Check:
    return Check(
        name=name,
        title=title,
        needs={
            "measured": Need(
                Kind.RESISTANCE, "ohm", ask, points=pairs(*points.split("|")) if points else (frozenset(),), states=True
            )
        },
        each=("start relay",),
        decide=lambda case: _relay(case, key),
        subject=f"the {title.lower()}",
        means={
            "low": "turns may be shorted",
            "high": "the contact is burnt or the coil half open",
            "marginal": "let it cool and measure again",
        },
        limits=(key,),
        cautions=("charged capacitor",),
    )


RELAY_CONTACT = _relay_check(
    "start-relay-contact",
    "Contact of a potential relay",
    "terminal_1 terminal_2|1 2",
    "start-relay.contact",
    "terminals 1 and 2 of the start relay",
)


RELAY_COIL = _relay_check(
    "start-relay-coil",
    "Coil of a potential relay",
    "terminal_2 terminal_5|2 5",
    "start-relay.coil",
    "terminals 2 and 5 of the start relay",
)


PTC = _relay_check(
    "start-ptc", "PTC starting device", "", "start-relay.ptc", "the cold resistance of the starting device"
)


def _wires(case: Case) -> Decision | None:
    off, running = case.number("off"), case.number("running")
    if off <= 0:
        return None
    drop = (off - running) / off * 100
    entry = case.limit("voltage-drop.feeder")
    if place(drop, entry.limit)[0] is WITHIN and drop < 0:
        return undetermined(case, "both voltages again", why="it cannot rise when the load comes on")
    return judged(case, drop, entry, f"({show(off)} - {show(running)}) / {show(off)} V = {show(drop, 3)} %")


WIRES = Check(
    name="voltage-drop",
    title="Voltage drop when the load comes on",
    needs={
        "off": Need(
            Kind.VOLTAGE,
            "volt",
            "the voltage with the load off",
            components=("compressor", "condensing unit", "supply", "disconnect", None),
            points=(*LINE_TO_LINE, frozenset()),
            said=("off",),
        ),
        "running": Need(
            Kind.VOLTAGE,
            "volt",
            "the voltage with the load running",
            components=("compressor", "condensing unit", "supply", "disconnect", None),
            points=(*LINE_TO_LINE, frozenset()),
            said=("running",),
        ),
    },
    decide=_wires,
    subject="the voltage lost when the load comes on",
    means={"high": "wires, lugs or breaker are too weak or loose", "marginal": "see lugs and breaker"},
    limits=("voltage-drop.feeder",),
    almost=0,
    cautions=("live measuring",),
)

CHECKS = (
    RELAY_CONTACT,
    RELAY_COIL,
    PTC,
    WIRES,
)
