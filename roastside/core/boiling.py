"""The temperature at which water boils, from the air's pressure or the height above the sea."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp

from roastside.core.errors import UsageError
from roastside.core.readings import ABSOLUTE_ZERO_C
from roastside.core.text import clean

LOWEST_M, HIGHEST_M = -450.0, 6000.0
LOWEST_HPA, HIGHEST_HPA = 450.0, 1100.0
"""Where people live, and what a barometer there can show."""

WEATHER_PA = 2000.0
"""How far the weather moves the pressure at a place, either way; common practice, no source."""

BAROMETER_PA = 300.0
"""How far off a household barometer may be; common practice, no source."""

_CRITICAL_K = 647.096
_CRITICAL_PA = 22.064e6
_TRIPLE_K = 273.16
_STEPS = 50
_CLOSE_K = 1e-9

# Wagner and Pruß 1993, table 2: exponent of (1 − T/Tc), coefficient.
_TERMS = (
    (1.0, -7.85951783),
    (1.5, 1.84408259),
    (3.0, -11.7866497),
    (3.5, 22.6807411),
    (4.0, -15.9618719),
    (7.5, 1.80122502),
)


@dataclass(frozen=True, slots=True)
class Boiling:
    """Where water boils, °C, how far that may be off either way, and from what it is known."""

    boiling_c: float
    doubt_c: float
    known_from: str

    def __str__(self) -> str:
        return f"{self.boiling_c:.1f} ± {self.doubt_c:.1f} °C ({self.known_from})"


def pressure_at_pa(altitude_m: float) -> float:
    """The standard pressure in Pa at a height in m above the sea, the weather left out.

    International Standard Atmosphere (ISO 2533:1975) for the troposphere, up to 11,000 m.
    """
    return 101325.0 * float((1.0 - 2.25577e-5 * altitude_m) ** 5.25588)


def vapour_pressure_pa(water_c: float) -> float:
    """The pressure in Pa at which water of `water_c` boils, from 0.01 °C to 373.946 °C.

    Wagner and Pruß, "International Equations for the Saturation Properties of Ordinary Water
    Substance. Revised According to the International Temperature Scale of 1990", J. Phys. Chem.
    Ref. Data 22 (1993), equation 1; IAPWS release SR1-86(1992). Raises ValueError beyond.
    """
    water_k = water_c - ABSOLUTE_ZERO_C
    if not _TRIPLE_K <= water_k <= _CRITICAL_K:
        raise ValueError(f"water of {water_c} °C has no boiling pressure")
    part = 1.0 - water_k / _CRITICAL_K
    total = sum(coefficient * part**exponent for exponent, coefficient in _TERMS)
    return _CRITICAL_PA * exp(total * _CRITICAL_K / water_k)


def boiling_c(pressure_pa: float) -> float:
    """The temperature in °C at which water boils under `pressure_pa`.

    The inverse of `vapour_pressure_pa` by bisection. Raises ValueError outside 612 Pa to 22 MPa.
    """
    low_c, high_c = _TRIPLE_K + ABSOLUTE_ZERO_C, _CRITICAL_K + ABSOLUTE_ZERO_C
    if not vapour_pressure_pa(low_c) <= pressure_pa <= vapour_pressure_pa(high_c):
        raise ValueError(f"water does not boil under {pressure_pa} Pa")
    for _ in range(_STEPS):
        middle_c = (low_c + high_c) / 2.0
        if vapour_pressure_pa(middle_c) < pressure_pa:
            low_c = middle_c
        else:
            high_c = middle_c
        if high_c - low_c < _CLOSE_K:
            break
    return (low_c + high_c) / 2.0


def boiling_at_altitude(altitude_m: float) -> Boiling:
    """From the height alone; the weather makes it doubtful by half a degree or more.

    Raises UsageError for a height where nobody lives.
    """
    if not LOWEST_M <= altitude_m <= HIGHEST_M:
        raise UsageError(
            f"{altitude_m:g} m is no height of a kitchen; give metres above the sea, from "
            f"{LOWEST_M:g} to {HIGHEST_M:g}."
        )
    return _boiling(
        pressure_at_pa(altitude_m),
        WEATHER_PA,
        f"{altitude_m:g} m above the sea, whatever the weather",
    )


def boiling_at_pressure(pressure_hpa: float) -> Boiling:
    """From a barometer that stands at the place. Raises UsageError for what none can show."""
    if not LOWEST_HPA <= pressure_hpa <= HIGHEST_HPA:
        raise UsageError(
            f"{pressure_hpa:g} hPa is no pressure of the air; give what a barometer at your place "
            f"shows, in hPa (the same as mbar), from {LOWEST_HPA:g} to {HIGHEST_HPA:g}."
        )
    return _boiling(100.0 * pressure_hpa, BAROMETER_PA, f"air pressure {pressure_hpa:g} hPa")


def boiling_from_words(text: str) -> Boiling:
    """From a height or a pressure as people write it: `520`, `520 m`, `953 hPa`.

    Raises UsageError with a sentence.
    """
    words = text.strip().lower().replace(",", ".")
    unit, known = ("hpa", boiling_at_pressure) if "hpa" in words else ("m", boiling_at_altitude)
    try:
        value = float(words.removesuffix(unit))
    except ValueError:
        raise UsageError(
            f"'{clean(text, 40)}' is neither a height nor a pressure; write one such as 520 m or "
            "953 hPa."
        ) from None
    return known(value)


def _boiling(pressure_pa: float, doubt_pa: float, known_from: str) -> Boiling:
    low_c, high_c = boiling_c(pressure_pa - doubt_pa), boiling_c(pressure_pa + doubt_pa)
    return Boiling(boiling_c(pressure_pa), (high_c - low_c) / 2.0, known_from)
