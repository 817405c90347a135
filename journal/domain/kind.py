"""The kinds of quantity that readings have."""

from __future__ import annotations

from enum import StrEnum


class Kind(StrEnum):
    """The physical quantity of a reading; its dimension decides which units are possible."""

    VOLTAGE = "voltage"
    CURRENT = "current"
    RESISTANCE = "resistance"
    CAPACITANCE = "capacitance"
    PRESSURE = "pressure"
    TEMPERATURE = "temperature"
    TEMPERATURE_DIFFERENCE = "temperature difference"
    SUPERHEAT = "superheat"
    SUBCOOLING = "subcooling"
    SATURATION_TEMPERATURE = "saturation temperature"
    FREQUENCY = "frequency"
    POWER = "power"
    MASS = "mass"
    DURATION = "duration"
    PERCENT = "percent"
    SPEED = "speed"
    AIRFLOW = "airflow"
    CONCENTRATION = "concentration"
