"""What lies around a visit and changes its arithmetic: the air pressure and the date."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from journal.errors import BadInput
from journal.units import STANDARD_ATMOSPHERE_PA


@dataclass(frozen=True, slots=True)
class Surroundings:
    """The height above the sea in metres or the barometer's own figure in kilopascals (absolute, not reduced to sea
    level); and the day whose regulations are asked for.  Without either the standard atmosphere at the sea is taken.

    >>> round(Surroundings(altitude_m=1524).atmosphere / 6894.757, 1)  # 5,000 ft
    12.2
    """

    altitude_m: float | None = None
    barometer_kpa: float | None = None
    on: dt.date | None = None

    def __post_init__(self) -> None:
        if self.barometer_kpa is not None and not 45 <= self.barometer_kpa <= 110:
            raise BadInput(
                f"A barometer of {self.barometer_kpa:g} kPa is not read where people live; give it absolute, in kPa."
            )
        if self.altitude_m is not None and not -500 <= self.altitude_m <= 6000:
            raise BadInput(f"An altitude of {self.altitude_m:g} m has no service calls; give metres above the sea.")

    @property
    def atmosphere(self) -> float:
        """Absolute air pressure in pascals; from a height by the standard atmosphere (ISO 2533:1975, troposphere)."""
        if self.barometer_kpa is not None:
            return self.barometer_kpa * 1000
        if self.altitude_m is not None:
            return float(STANDARD_ATMOSPHERE_PA * (1 - 0.0065 * self.altitude_m / 288.15) ** 5.25588)
        return STANDARD_ATMOSPHERE_PA
