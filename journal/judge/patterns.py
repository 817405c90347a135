"""The lines of reasoning across checks.  Each says what it rests on and what would confirm or refute it."""

from __future__ import annotations

from journal.judge.diagnosis import Facts, Pattern
from journal.judge.limits import words_of


def _no_receiver(f: Facts) -> bool:
    words = words_of(f.bench.equipment)
    return (
        "receiver" not in words
        and "head pressure control" not in words
        and not any("receiver" in (x.component or "") or "receiver" in x.what for x in f.bench.findings)
    )


PATTERNS: tuple[Pattern, ...] = (
    Pattern(
        "Compressor motor grounded",
        lambda f: f.outside("winding-to-ground", component="compressor"),
        "A winding of the compressor leaks to its shell. Windings that add up in ohms do not speak against it: "
        "they tell nothing of the insulation.",
        "Take the wires off at the compressor and measure again from each terminal to bare metal with an "
        "insulation tester; a ground that stays is in the motor.",
    ),
    Pattern(
        "Locked rotor or no start: look around the compressor first",
        lambda f: f.outside("locked-rotor") and not f.outside("winding-to-ground", "winding-open"),
        "The compressor draws locked-rotor current. Low voltage while starting, a dead start relay or "
        "capacitor, pressures that are not equalized or a lost leg "
        "do the same as a seized compressor.",
        "Read the voltage at the contactor while it starts, check start relay and both capacitors, let the "
        "pressures equalize, see all legs, let the overload cool; "
        "if it still locks, the compressor is what remains.",
    ),
    Pattern(
        "Low on charge",
        lambda f: _no_receiver(f) and f.high("superheat") and f.low("subcooling"),
        "Superheat is high and subcooling low, on a machine that was not said to have a receiver or "
        "head-pressure control: the circuit holds too little refrigerant.",
        "Find the leak before adding any; recover and weigh the charge. A starved valve with plenty of "
        "subcooling, or little load, would speak against it.",
    ),
    Pattern(
        "Restriction or starved evaporator, not charge",
        lambda f: f.high("superheat") and not f.low("subcooling") and (f.fine("subcooling") or f.high("subcooling")),
        "Superheat is high while subcooling is not low: liquid is there and does not reach the evaporator.",
        "Compare temperatures before and after the drier and along the liquid line; look at the valve's screen, "
        "bulb and power element, and at the solenoid.",
    ),
)
