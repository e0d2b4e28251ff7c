"""Thermocouples: emf to temperature and back, and the cold junction.

Reference functions of NIST Monograph 175 (Burns, Scroger, Strouse, Croarkin and Guthrie 1993) on
the ITS-90, as given in NIST Standard Reference Database 60, file allcoeff.tab; IEC 60584-1 has the
same. Each is a polynomial in °C giving mV with the other junction at 0 °C, and with an exponential
term for type K above 0 °C.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp
from typing import Literal, get_args

Kind = Literal["K", "J", "T", "E", "N"]
"""The letter of a thermocouple's type."""

KINDS: tuple[Kind, ...] = get_args(Kind)

_STEPS = 60
_CLOSE_C = 1e-6


def emf_mv(kind: Kind, junction_c: float) -> float | None:
    """The emf in mV of a junction at `junction_c`, its other end at 0 °C.

    None where the type's reference function does not reach, and for NaN.
    """
    curve = _CURVES[kind]
    if not curve.lowest_c <= junction_c <= curve.highest_c:
        return None
    return curve.emf_and_slope(junction_c)[0]


def temperature_c(kind: Kind, total_mv: float) -> float | None:
    """The temperature in °C of a junction that gives `total_mv`, its other end at 0 °C.

    Solves the reference function itself (Newton's method, held inside a bracket) to 1e-6 °C, as
    NIST's own inverse polynomials are off by up to 0.05 °C. None outside the function and for NaN.
    """
    curve = _CURVES[kind]
    if not curve.lowest_mv <= total_mv <= curve.highest_mv:
        return None
    below_c, above_c = curve.lowest_c, curve.highest_c
    guess_c = 0.0
    for _ in range(_STEPS):
        mv, slope = curve.emf_and_slope(guess_c)
        if mv < total_mv:
            below_c = guess_c
        else:
            above_c = guess_c
        better_c = guess_c + (total_mv - mv) / slope
        if not below_c <= better_c <= above_c:
            better_c = (below_c + above_c) / 2.0
        if abs(better_c - guess_c) < _CLOSE_C:
            return better_c
        guess_c = better_c
    return guess_c


def compensated_c(kind: Kind, measured_mv: float, cold_junction_c: float) -> float | None:
    """The probe's temperature in °C, measured with the terminals at `cold_junction_c`.

    The emf of the terminals is added and the sum looked up. Adding their temperature instead is
    wrong by several degrees, as no thermocouple is linear. None where a function does not reach.
    """
    cold_mv = emf_mv(kind, cold_junction_c)
    return None if cold_mv is None else temperature_c(kind, measured_mv + cold_mv)


def tolerance_c(kind: Kind, junction_c: float) -> float | None:
    """How far in °C a new probe of class 2 may be off at `junction_c`; None outside the class.

    IEC 60584-1:2013, class 2, as quoted in probe makers' tables.
    """
    least_c, lowest_c, highest_c = _CLASS_2[kind]
    if not lowest_c <= junction_c <= highest_c:
        return None
    return max(least_c, 0.0075 * abs(junction_c))


@dataclass(frozen=True, slots=True)
class _Piece:
    """One stretch of a reference function, from `from_c` upwards: coefficients of t^0, t^1, …"""

    from_c: float
    coefficients: tuple[float, ...]
    bump: tuple[float, float, float] | None = None

    def emf_and_slope(self, junction_c: float) -> tuple[float, float]:
        """In mV and mV/°C, by Horner's rule."""
        mv = slope = 0.0
        for coefficient in reversed(self.coefficients):
            slope = slope * junction_c + mv
            mv = mv * junction_c + coefficient
        if self.bump:
            a0, a1, a2 = self.bump
            off_c = junction_c - a2
            more_mv = a0 * exp(a1 * off_c * off_c)
            mv += more_mv
            slope += 2.0 * a1 * off_c * more_mv
        return mv, slope


class _Curve:
    """A type's whole reference function, rising from `lowest_c` to `highest_c`."""

    def __init__(self, low: _Piece, high: _Piece, highest_c: float) -> None:
        self._low, self._high = low, high
        self.lowest_c, self.highest_c = low.from_c, highest_c
        self.lowest_mv = self.emf_and_slope(self.lowest_c)[0]
        self.highest_mv = self.emf_and_slope(self.highest_c)[0]

    def emf_and_slope(self, junction_c: float) -> tuple[float, float]:
        piece = self._high if junction_c > self._high.from_c else self._low
        return piece.emf_and_slope(junction_c)


_CURVES: dict[Kind, _Curve] = {
    "K": _Curve(
        _Piece(
            -270.0,
            (
                0.0,
                0.39450128025e-01,
                0.23622373598e-04,
                -0.32858906784e-06,
                -0.49904828777e-08,
                -0.67509059173e-10,
                -0.57410327428e-12,
                -0.31088872894e-14,
                -0.10451609365e-16,
                -0.19889266878e-19,
                -0.16322697486e-22,
            ),
        ),
        _Piece(
            0.0,
            (
                -0.17600413686e-01,
                0.38921204975e-01,
                0.18558770032e-04,
                -0.99457592874e-07,
                0.31840945719e-09,
                -0.56072844889e-12,
                0.56075059059e-15,
                -0.32020720003e-18,
                0.97151147152e-22,
                -0.12104721275e-25,
            ),
            bump=(0.1185976, -0.1183432e-03, 126.9686),
        ),
        highest_c=1372.0,
    ),
    "J": _Curve(
        _Piece(
            -210.0,
            (
                0.0,
                0.50381187815e-01,
                0.3047583693e-04,
                -0.8568106572e-07,
                0.13228195295e-09,
                -0.17052958337e-12,
                0.20948090697e-15,
                -0.12538395336e-18,
                0.15631725697e-22,
            ),
        ),
        _Piece(
            760.0,
            (
                0.29645625681e03,
                -0.14976127786e01,
                0.31787103924e-02,
                -0.31847686701e-05,
                0.15720819004e-08,
                -0.30691369056e-12,
            ),
        ),
        highest_c=1200.0,
    ),
    "T": _Curve(
        _Piece(
            -270.0,
            (
                0.0,
                0.38748106364e-01,
                0.44194434347e-04,
                0.11844323105e-06,
                0.20032973554e-07,
                0.90138019559e-09,
                0.22651156593e-10,
                0.36071154205e-12,
                0.38493939883e-14,
                0.28213521925e-16,
                0.14251594779e-18,
                0.48768662286e-21,
                0.1079553927e-23,
                0.13945027062e-26,
                0.79795153927e-30,
            ),
        ),
        _Piece(
            0.0,
            (
                0.0,
                0.38748106364e-01,
                0.3329222788e-04,
                0.20618243404e-06,
                -0.21882256846e-08,
                0.10996880928e-10,
                -0.30815758772e-13,
                0.4547913529e-16,
                -0.27512901673e-19,
            ),
        ),
        highest_c=400.0,
    ),
    "E": _Curve(
        _Piece(
            -270.0,
            (
                0.0,
                0.58665508708e-01,
                0.45410977124e-04,
                -0.77998048686e-06,
                -0.25800160843e-07,
                -0.59452583057e-09,
                -0.93214058667e-11,
                -0.10287605534e-12,
                -0.80370123621e-15,
                -0.43979497391e-17,
                -0.16414776355e-19,
                -0.39673619516e-22,
                -0.55827328721e-25,
                -0.34657842013e-28,
            ),
        ),
        _Piece(
            0.0,
            (
                0.0,
                0.5866550871e-01,
                0.45032275582e-04,
                0.28908407212e-07,
                -0.33056896652e-09,
                0.6502440327e-12,
                -0.19197495504e-15,
                -0.12536600497e-17,
                0.21489217569e-20,
                -0.14388041782e-23,
                0.35960899481e-27,
            ),
        ),
        highest_c=1000.0,
    ),
    "N": _Curve(
        _Piece(
            -270.0,
            (
                0.0,
                0.26159105962e-01,
                0.10957484228e-04,
                -0.93841111554e-07,
                -0.46412039759e-10,
                -0.26303357716e-11,
                -0.22653438003e-13,
                -0.76089300791e-16,
                -0.93419667835e-19,
            ),
        ),
        _Piece(
            0.0,
            (
                0.0,
                0.25929394601e-01,
                0.1571014188e-04,
                0.43825627237e-07,
                -0.25261169794e-09,
                0.64311819339e-12,
                -0.10063471519e-14,
                0.99745338992e-18,
                -0.60863245607e-21,
                0.20849229339e-24,
                -0.30682196151e-28,
            ),
        ),
        highest_c=1300.0,
    ),
}

_CLASS_2: dict[Kind, tuple[float, float, float]] = {
    "K": (2.5, -40.0, 1200.0),
    "J": (2.5, -40.0, 750.0),
    "T": (1.0, -40.0, 350.0),
    "E": (2.5, -40.0, 900.0),
    "N": (2.5, -40.0, 1200.0),
}
"""The least tolerance in °C, and from and to which temperature the class is defined."""
