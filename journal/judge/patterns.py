"""The lines of reasoning across checks.  Each says what it rests on and what would confirm or refute it."""

from __future__ import annotations

from decimal import Decimal

from journal.judge.diagnosis import Facts, Pattern
from journal.judge.entries import has_receiver, words_of


def _no_receiver(f: Facts) -> bool:
    named = any("receiver" in (x.component or "") or "receiver" in x.what for x in f.bench.findings if not x.negated)
    return not has_receiver(f.bench.equipment) and not named


def _grounded(f: Facts) -> bool:
    return f.outside("winding-to-ground", component="compressor")


def _starved_but_full(f: Facts) -> bool:
    return f.high("superheat") and (f.fine("subcooling") or f.high("subcooling"))


def _not_pumping(f: Facts) -> bool:
    """High suction, low head and low amps together."""
    return f.low("compression-ratio") and f.share("running-current") < Decimal("0.6")


def _locked(f: Facts) -> bool:
    return f.outside("locked-rotor") and not f.outside("winding-to-ground", "winding-open")


def _low_start(f: Facts) -> bool:
    return f.bad("starting-voltage") and f.outside("locked-rotor")


def _condenser(f: Facts) -> bool:
    return f.high("condensing-over-ambient") and not f.high("subcooling")


def _overcharge(f: Facts) -> bool:
    return f.high("condensing-over-ambient") and f.high("subcooling") and _no_receiver(f)


def _floodback(f: Facts) -> bool:
    return f.low("superheat") and not f.high("superheat")


def _dirty_evaporator(f: Facts) -> bool:
    return f.high("evaporator-difference") and f.low("superheat")


def _airless(f: Facts) -> bool:
    return f.high("air-difference") and (f.low("superheat") or f.high("static-total"))


def _supply(f: Facts) -> bool:
    return f.outside("lost-leg", "lost-phase")


def _unbalance(f: Facts) -> bool:
    return f.bad("voltage-unbalance") and f.bad("current-unbalance")


def _motor_unbalance(f: Facts) -> bool:
    return f.bad("current-unbalance") and f.fine("voltage-unbalance")


def _upstream(f: Facts) -> bool:
    return f.fine("contact") and f.dead_voltage()


def _open_contact(f: Facts) -> bool:
    return f.outside("line-to-load", "contact-drop")


def _burnt_contact(f: Facts) -> bool:
    return f.bad("contact-drop") and not f.outside("winding-to-ground")


def _weak_capacitor(f: Facts) -> bool:
    return f.low("capacitor") or f.low("capacitor-under-load")


def _foreign_gas(f: Facts) -> bool:
    return f.high("static-pressure")


def _leak_shown(f: Facts) -> bool:
    at_fitting = any(
        x.what == "bubbles" and not x.negated and x.component not in (None, "sight glass") for x in f.bench.findings
    )
    return at_fitting or f.saw("oil residue", "leak")


def _leak(f: Facts) -> bool:
    return _leak_shown(f) and (
        f.low("subcooling") or f.high("superheat") or f.outside("standing-pressure", "vacuum-decay")
    )


def _flash(f: Facts) -> bool:
    return f.saw("bubbles", part="sight glass") and f.high("superheat")


def _clear_glass(f: Facts) -> bool:
    return f.saw("clear", part="sight glass") and f.high("superheat")


def _drier(f: Facts) -> bool:
    return f.bad("drier-drop")


def _burnout(f: Facts) -> bool:
    return _grounded(f) and f.saw("burnt", "acid")


def _acid(f: Facts) -> bool:
    return f.saw("acid")


def _oil_level(f: Facts) -> bool:
    return f.saw("low", part="oil") or f.low("net-oil-pressure")


def _iced(f: Facts) -> bool:
    heat = ("heater-resistance", "heater-current", "heater-lines", "defrost-termination", "defrost-length")
    return f.saw("iced", "frosted") and (f.bad(*heat) or f.high("box-temperature"))


def _fan(f: Facts) -> bool:
    return f.saw("not turning", "not running", "seized", part="fan") or f.outside("fans-by-current")


def _backwards(f: Facts) -> bool:
    scroll = "scroll" in words_of(f.bench.equipment)
    return scroll and f.low("compression-ratio") and f.saw("noise", "backward", "vibration")


def _fan_backwards(f: Facts) -> bool:
    return f.saw("backward", part="fan")


def _transformer(f: Facts) -> bool:
    return f.low("control-voltage") and f.fine("supply-voltage")


def _display(f: Facts) -> bool:
    return f.bad("display-against-probe", "sensor") and f.bad("box-temperature", "box-against-setting")


def _short_cycle(f: Facts) -> bool:
    return f.bad("short-cycling") and f.bad("low-pressure-settings", "control-action")


def _misnamed(f: Facts) -> bool:
    return f.bad("winding-order") and f.fine("winding-sum")


def _overload(f: Facts) -> bool:
    return f.undetermined("winding-open")


def _double_clutch(f: Facts) -> bool:
    return f.low("supply-voltage") and f.bad("running-current")


def _gas(f: Facts) -> bool:
    return f.outside("carbon-monoxide")


PATTERNS: tuple[Pattern, ...] = (
    Pattern(
        "Compressor motor grounded",
        _grounded,
        "A winding of the compressor leaks to its shell. Windings that add up in ohms do not speak against it: "
        "they tell nothing of "
        "the insulation.",
        "Take the wires off at the compressor and measure again from each terminal to bare metal with an "
        "insulation tester; a ground "
        "that stays is in the motor.",
    ),
    Pattern(
        "Burnout",
        _burnout,
        "The motor is grounded and oil or wires were found burnt: acid has to be expected in the oil and in the "
        "circuit.",
        "Acid test of the oil; after the change suction and liquid driers and another acid test.",
    ),
    Pattern(
        "Locked rotor or no start: look around the compressor first",
        _locked,
        "The compressor draws locked-rotor current. Low voltage while starting, a dead start relay or "
        "capacitor, pressures that are "
        "not equalized or a lost leg do the same as a seized compressor.",
        "Read the voltage at the contactor while it starts, check start relay and both capacitors, let the "
        "pressures equalize, see all "
        "legs, let the overload cool; if it still locks, the compressor is what remains.",
    ),
    Pattern(
        "Supply sags while starting",
        _low_start,
        "The compressor does not start and its voltage falls too low while it tries.",
        "Measure at panel and contactor while it starts: a drop between them is wires and lugs, one at the "
        "panel is the supply.",
    ),
    Pattern(
        "Weak capacitor",
        _weak_capacitor,
        "The capacitor has less than its marking permits; its motor starts hard, runs hot and may trip.",
        "Measure it again discharged with a lead off, or under load; try the motor with a sound one of the "
        "marked size.",
    ),
    Pattern(
        "Low on charge",
        lambda f: _no_receiver(f) and f.high("superheat") and f.low("subcooling"),
        "Superheat is high and subcooling low, on a machine that was not said to have a receiver or "
        "head-pressure control: the circuit "
        "holds too little refrigerant.",
        "Find the leak before adding any; recover and weigh the charge. A starved valve with plenty of "
        "subcooling, or little load, "
        "would speak against it.",
    ),
    Pattern(
        "Leak",
        _leak,
        "Traces of a leak were seen where the readings tell of missing refrigerant or of a system that does not hold.",
        "Prove the place with solution or a detector, and the repair with a standing-pressure test.",
    ),
    Pattern(
        "Restriction or starved evaporator, not charge",
        _starved_but_full,
        "Superheat is high while subcooling is not low: liquid is there and does not reach the evaporator.",
        "Compare temperatures before and after the drier and along the liquid line; look at the valve's screen, "
        "bulb and power element, "
        "and at the solenoid.",
    ),
    Pattern(
        "Plugged drier",
        _drier,
        "The liquid line is colder after the drier than before it.",
        "Feel for frost at the drier; superheat falls and the drop is gone with a new one.",
    ),
    Pattern(
        "Flashing in the sight glass",
        _flash,
        "The glass flashes and superheat is high: low charge, or a restriction before the glass; with a "
        "receiver its level decides.",
        "Receiver's level, temperature drop across the drier, ambient and head pressure; bubbles alone do not "
        "ask for refrigerant.",
    ),
    Pattern(
        "Liquid is there: look behind the sight glass",
        _clear_glass,
        "The glass is clear and superheat is high: the valve or what stands before it starves the evaporator.",
        "Valve screen, bulb, power element, solenoid and setting.",
    ),
    Pattern(
        "Compressor does not pump",
        _not_pumping,
        "The pressures stand close together and the current is low: gas passes the valves or scrolls, a "
        "reversing valve leaks, or an "
        "unloader stands open.",
        "Pump-down and hold (not on scrolls); temperatures over the reversing valve; direction of a three-phase "
        "scroll.",
    ),
    Pattern(
        "Scroll turning backwards",
        _backwards,
        "A noisy scroll with hardly any difference of pressure may turn backwards.",
        "Exchange two of three phases with the power locked off; a single-phase scroll may turn back after a "
        "short stop.",
    ),
    Pattern(
        "Fan turning backwards",
        _fan_backwards,
        "A fan was seen to turn backwards: it moves little air.",
        "Exchange two of three phases with the power locked off, or see the motor's rotation plug.",
    ),
    Pattern(
        "Condenser gives off its heat badly",
        _condenser,
        "The condensing temperature stands far over ambient without much subcooling: dirt, a fan, discharge air "
        "drawn in again, or air "
        "in the system.",
        "Clean it, see every fan, measure the air entering; with the unit stopped compare pressure and ambient "
        "for foreign gas.",
    ),
    Pattern(
        "Overcharge or liquid backed up",
        _overcharge,
        "Condensing temperature and subcooling are both high on a machine without a receiver.",
        "Weigh the charge; a restriction in the liquid line backs liquid up too and shows high superheat.",
    ),
    Pattern(
        "Air or another gas in the system",
        _foreign_gas,
        "The stopped unit stands above the saturation of its refrigerant at ambient.",
        "Wait until all of it is at ambient and read again; then recover, evacuate and charge by weight.",
    ),
    Pattern(
        "Liquid comes back to the compressor",
        _floodback,
        "Superheat is low.",
        "Valve bulb fast, insulated and well placed; airflow and ice on the coil; charge of a capillary system; "
        "superheat at the "
        "compressor when steady.",
    ),
    Pattern(
        "Evaporator takes up little heat",
        _dirty_evaporator,
        "The coil runs far below its air and superheat is low: it is not starved but gets little air.",
        "Ice, dirt, fans, filter.",
    ),
    Pattern(
        "Little air over the coil",
        _airless,
        "The air is cooled too much, and superheat or static pressure agree that little of it moves.",
        "Filter, coil, blower, ducts.",
    ),
    Pattern(
        "Fan not working",
        _fan,
        "A fan was found standing, by eye or by its current.",
        "Voltage at the motor, capacitor, bearings; turn the blade by hand with the power locked off.",
    ),
    Pattern(
        "Iced coil: defrost does not do its work",
        _iced,
        "Ice was found, and heaters, their end or their length are not as they should be, or the box is warm.",
        "Heaters by current, termination by coil temperature, the timer's clock, drain heater, door gasket.",
    ),
    Pattern(
        "Lost leg or phase",
        _supply,
        "One leg is dead: a three-phase motor must not run on the others.",
        "Fuses, breaker, contactor and connections, from the load upstream, until the leg is found.",
    ),
    Pattern(
        "Unbalance comes with the supply",
        _unbalance,
        "Voltages and currents are both unbalanced; a little unbalance of voltage makes a lot in the currents.",
        "Move all three leads one place on: what stays with the line is the supply.",
    ),
    Pattern(
        "Unbalance not from the supply",
        _motor_unbalance,
        "The currents are unbalanced and the voltages are not.",
        "Move all three leads one place on: what moves with the lead is the motor; look for single-phase loads "
        "on one leg first.",
    ),
    Pattern(
        "Weak supply and high current",
        _double_clutch,
        "The voltage is low and the current high: a motor makes up for one with the other.",
        "Voltage at the panel and at the unit, off and running.",
    ),
    Pattern(
        "Look upstream",
        _upstream,
        "No voltage was found behind a contact that is closed: what is missing is missing before it.",
        "Voltage on the line side, then one device upstream after another.",
    ),
    Pattern(
        "Open between line and load",
        _open_contact,
        "Voltage comes in and does not go out.",
        "See that the contact is called to close; then coil, mechanism and contact.",
    ),
    Pattern(
        "Contact burning",
        _burnt_contact,
        "A closed contact holds back voltage and turns current into heat.",
        "Look at it with the power locked off; lugs first, then the contact.",
    ),
    Pattern(
        "Transformer weak or overloaded",
        _transformer,
        "The control voltage is low while the supply is good.",
        "Secondary with its load off: a good voltage then speaks of too much load, a low one of the transformer "
        "or its tap.",
    ),
    Pattern(
        "Sensor or display misleads the control",
        _display,
        "The control does not see the temperature that is there.",
        "Sensor in ice water, its resistance against its curve, its place in the air stream.",
    ),
    Pattern(
        "Short cycling by its control",
        _short_cycle,
        "The compressor runs in short spells and its control is set or acts too narrow.",
        "Where it opens and closes on the gauge; charge, condenser and filter if the pressures swing that far.",
    ),
    Pattern(
        "Terminals misnamed",
        _misnamed,
        "The windings add up and stand in another order than they were named: the names are wrong, not the motor.",
        "The pair that reads highest is run and start; the terminal left over is common.",
    ),
    Pattern(
        "Internal overload open",
        _overload,
        "Common is open to both windings, or all three pairs are: the overload inside may have opened.",
        "Let the shell cool, which can take more than an hour, and measure again before anything is concluded.",
    ),
    Pattern(
        "Acid in the oil",
        _acid,
        "An acid test was positive.",
        "New driers, oil changed, another test after some days of running.",
    ),
    Pattern(
        "Oil does not reach the bearings",
        _oil_level,
        "Oil level or net oil pressure is low.",
        "Oil in the glass after steady running, foam or liquid in it, return of oil, strainer and pump.",
    ),
    Pattern(
        "Carbon monoxide",
        _gas,
        "More carbon monoxide was measured than may be.",
        "Air the place and shut the heater down; heat exchanger, gas pressure, air and flue by somebody "
        "licensed for it.",
    ),
)
