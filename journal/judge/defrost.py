"""Defrost: its end, its fans, its length."""

from __future__ import annotations

from journal.domain.kind import Kind
from journal.domain.verdict import Authority
from journal.judge.answers import judged, stated
from journal.judge.check import (
    ANY,
    OUTSIDE,
    SETTING,
    Case,
    Check,
    Decision,
    Need,
)
from journal.judge.numbers import show


def _coil(ask: str, said: tuple[str, ...]) -> Need:
    return Need(Kind.TEMPERATURE, "degF", ask, components=("coil", "evaporator"), said=said)


def _termination(case: Case) -> Decision:
    value = case.number("measured")
    return judged(case, value, case.limit("defrost-termination.coil"), f"{show(value)} °F when defrost ended")


TERMINATION = Check(
    name="defrost-termination",
    title="End of defrost",
    needs={
        "measured": _coil("the coil's temperature when defrost ends", ("end of defrost", "terminat", "defrost ended"))
    },
    decide=_termination,
    subject="the coil at the end of defrost",
    means={
        "low": "it ended before the coil was clear: time or sensor; see whether ice is left",
        "high": "it heats on after the ice is gone: sensor or control",
        "marginal": "see whether ice is left",
    },
    limits=("defrost-termination.coil",),
)


def _fans(case: Case) -> Decision:
    value = case.number("measured")
    return judged(case, value, case.limit("defrost-fans.coil"), f"{show(value)} °F when the fans started")


FANS = Check(
    name="defrost-fan-delay",
    title="Fans after defrost",
    needs={
        "measured": _coil("the coil's temperature when the fans start again", ("fans on", "fans start", "fan delay"))
    },
    decide=_fans,
    subject="the coil when the fans start",
    means={"high": "warm, wet air is blown into the box", "low": "the fans wait longer than they need"},
    limits=("defrost-fans.coil",),
)


def _length(case: Case) -> Decision:
    minutes = case.number("measured")
    decision = judged(case, minutes, case.limit("defrost-length.minutes"), f"{show(minutes)} min of defrost")
    if case.has("fail-safe") and minutes >= case.number("fail-safe"):
        return stated(
            case,
            OUTSIDE,
            "Defrost ran until its time limit and was not ended by temperature, outside usual practice: ice, "
            "sensor or heaters.",
            Authority.PRACTICE,
            value=minutes,
            unit="minute",
            formula=f"{show(minutes)} min, limit {show(case.number('fail-safe'))} min",
            source="common practice: a good defrost ends by temperature",
        )
    return decision


LENGTH = Check(
    name="defrost-length",
    title="Length of defrost",
    needs={
        "measured": Need(Kind.DURATION, "minute", "how long defrost lasted", components=(ANY,), said=("defrost",)),
        "fail-safe": Need(
            Kind.DURATION,
            "minute",
            "the time limit of defrost",
            roles=(SETTING,),
            components=("defrost timer", "defrost control", "control board"),
            required=False,
        ),
    },
    decide=_length,
    subject="defrost",
    means={"high": "ice, sensor or heaters", "low": "was there ice at all?"},
    limits=("defrost-length.minutes",),
)

CHECKS = (
    TERMINATION,
    FANS,
    LENGTH,
)
