"""The arithmetic of the trade: pure functions with worked examples, decimals in and out.

Each names its source; the examples are run as tests.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from decimal import Decimal

D = Decimal
RANKINE = D("459.67")
STANDARD_PSIA = D("14.6959")
_PI = D("3.14159265358979323846")


def deviation(measured: Decimal, nominal: Decimal) -> Decimal:
    """Deviation from a nominal value in per cent.

    >>> round(deviation(D(203), D(230)), 2)  # NEMA Condensed MG 1-2011 section 9.9.1: fails -10 %
    Decimal('-11.74')
    """
    return (measured - nominal) / nominal * 100


def unbalance(values: Sequence[Decimal]) -> Decimal:
    """Largest deviation from the average in per cent of the average (NEMA MG 1-14.36), not (max-min)/average.

    >>> round(unbalance([D(460), D(467), D(450)]), 2)  # NEMA MG 1-14.36's own figures
    Decimal('1.96')
    >>> round(unbalance([D(462), D(463), D(455)]), 2)  # US DOE Motor Tip Sheet 7
    Decimal('1.09')
    >>> round(unbalance([D(203), D(210), D(212)]), 2)  # SymCom 2010 specification sheet p. 5
    Decimal('2.56')
    """
    average = sum(values, D(0)) / len(values)
    return max(abs(value - average) for value in values) / average * 100


_DERATING = (
    (D("0.5"), D(1)), (D("1"), D(1)), (D("1.5"), D("0.97")), (D("2"), D("0.95")), (D("2.5"), D("0.93")),
    (D("3"), D("0.89")), (D("3.5"), D("0.85")), (D("4"), D("0.82")), (D("4.5"), D("0.78")), (D("5"), D("0.76")),
)  # fmt: skip


def derating(percent: Decimal) -> Decimal:
    """Factor on a motor's rated output at a voltage unbalance (curve of NEMA MG 1 figure 14-1, points as printed by
    engineeringtoolbox.com, +-0.02).

    >>> round(derating(D("1.96")), 3)
    Decimal('0.952')
    """
    if percent <= _DERATING[0][0]:
        return D(1)
    for (x0, y0), (x1, y1) in itertools.pairwise(_DERATING):
        if percent <= x1:
            return y0 + (y1 - y0) * (percent - x0) / (x1 - x0)
    return _DERATING[-1][1]


def unbalance_heat(percent: Decimal) -> Decimal:
    """Rise of a winding's temperature in per cent: about twice the unbalance squared (DOE tip sheet, from memory).

    >>> unbalance_heat(D("3.5"))  # empoweringmotors.com prints 25 %
    Decimal('24.50')
    """
    return 2 * percent**2


def capacitance(ampere: Decimal, volt: Decimal, hertz: Decimal) -> Decimal:
    """Microfarads of a capacitor from its current and the voltage across it: I * 10^6 / (2 pi f V).

    >>> round(capacitance(D("1.1"), D(383), D(60)), 2)
    Decimal('7.62')
    >>> round(capacitance(D("4.0"), D(400), D(50)), 1)
    Decimal('31.8')
    """
    return ampere * 10**6 / (2 * _PI * hertz * volt)


def discharge_seconds(microfarad: Decimal, ohm: Decimal, volt_peak: Decimal, volt_end: Decimal) -> Decimal:
    """Seconds until a capacitor has fallen to a voltage through a resistor: R C ln(V0 / V).

    >>> round(discharge_seconds(D(88), D(15000), D(330) * D(2).sqrt(), D(50)), 2)
    Decimal('2.95')
    """
    return ohm * microfarad / 10**6 * (volt_peak / volt_end).ln()


def copper_at(ohm: Decimal, from_celsius: Decimal, to_celsius: Decimal) -> Decimal:
    """Resistance of a copper winding at another temperature (IEEE 112 and 118, from memory).

    >>> round(copper_at(D("1.80"), D(25), D(75)), 3)
    Decimal('2.147')
    """
    return ohm * (D("234.5") + to_celsius) / (D("234.5") + from_celsius)


def insulation_at_40(megohm: Decimal, celsius: Decimal) -> Decimal:
    """Insulation resistance corrected to 40 degC: it halves for every 10 K (IEEE 43, as told by electricneutron.com).

    >>> insulation_at_40(D(10), D(20)), insulation_at_40(D(3), D(70))
    (Decimal('2.50'), Decimal('24'))
    """
    return megohm * D("0.5") ** ((40 - celsius) / 10)


def compression_ratio(discharge_psia: Decimal, suction_psia: Decimal) -> Decimal:
    """Ratio of absolute pressures.

    >>> round(compression_ratio(D(250) + D("14.7"), D(15) + D("14.7")), 2)
    Decimal('8.91')
    """
    return discharge_psia / suction_psia


def pressure_at(psia: Decimal, from_fahrenheit: Decimal, to_fahrenheit: Decimal) -> Decimal:
    """Absolute pressure of a shut-in gas at another temperature (rigid volume).

    >>> round(pressure_at(D("164.7"), D(80), D(70)) - D("14.7"), 1)  # ACHR News 153295: 150 psig, 80 to 70 degF
    Decimal('146.9')
    """
    return psia * (to_fahrenheit + RANKINE) / (from_fahrenheit + RANKINE)


def leak_rate_annualized(added: Decimal, charge: Decimal, days: Decimal) -> Decimal:
    """Leak rate in per cent a year by the annualizing method of 40 CFR 82.152.

    >>> leak_rate_annualized(D(12), D(150), D(73)), leak_rate_annualized(D(12), D(150), D(400))
    (Decimal('40.00'), Decimal('8.00'))
    """
    return added / charge * 365 / min(days, D(365)) * 100


def leak_rate_rolling(added: Sequence[Decimal], charge: Decimal) -> Decimal:
    """Leak rate in per cent by the rolling average of 40 CFR 82.152: all additions of the last 365 days.

    >>> leak_rate_rolling([D(10), D(5), D(12)], D(150))
    Decimal('18.00')
    """
    return sum(added, D(0)) / charge * 100


def heater_ohms(watt: Decimal, volt: Decimal) -> Decimal:
    """Resistance of a heater from its rating.

    >>> heater_ohms(D(1000), D(230))
    Decimal('52.9')
    """
    return volt**2 / watt


def line_current(watt: Decimal, volt: Decimal, *, three_phase: bool = False) -> Decimal:
    """Line current of a heater.

    >>> round(line_current(D(6000), D(230), three_phase=True), 2)
    Decimal('15.06')
    """
    return watt / volt / (D(3).sqrt() if three_phase else 1)


def minimum_circuit_ampacity(largest: Decimal, others: Sequence[Decimal]) -> Decimal:
    """1.25 times the largest rated-load current and all the rest (NEC 440, as told by Daikin UAA manual p. 32).

    >>> minimum_circuit_ampacity(D("27.6"), [D("27.6"), D(3), D(3)])
    Decimal('68.100')
    """
    return largest * D("1.25") + sum(others, D(0))


def maximum_overcurrent(largest: Decimal, others: Sequence[Decimal]) -> Decimal:
    """2.25 times the largest rated-load current and all the rest, before rounding down to a standard fuse.

    >>> maximum_overcurrent(D("27.6"), [D("27.6"), D(3), D(3)])
    Decimal('95.700')
    """
    return largest * D("2.25") + sum(others, D(0))


STANDARD_FUSES = tuple(
    D(n) for n in (15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250)
)


def standard_fuse_below(ampere: Decimal) -> Decimal | None:
    """Largest standard fuse (NEC 240.6, from memory) that is not above a current.

    >>> standard_fuse_below(D("95.7"))
    Decimal('90')
    """
    return next((fuse for fuse in reversed(STANDARD_FUSES) if fuse <= ampere), None)


def orifice_superheat(wet_bulb: Decimal, outdoor: Decimal) -> Decimal:
    """Usual target superheat of a fixed orifice from indoor wet bulb and outdoor dry bulb, degF (common practice).

    >>> orifice_superheat(D(67), D(95))
    Decimal('13')
    """
    return (3 * wet_bulb - 80 - outdoor) / 2
