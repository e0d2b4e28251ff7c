"""How freely a roast's rate may wander by itself: after a plunge, and from first crack on."""

from __future__ import annotations

from math import exp

# A probe of time constant PROBE_LAG_S thrown from hot air into cold beans moves by
# A exp(-t/lag): its slope changes by A/lag within the lag, and ever less after. _Q_PLUNGE is
# that for A = 100 °C, and it dies away with the square of the exponential. °C²/s³.
PROBE_LAG_S = 15.0
_Q_PLUNGE = 4.0
_Q_PLUNGE_DEPARTURE = 0.2
_Q_PREHEAT = 1e-3

_Q_CRACK = 3e-5
_CRACKS_S = 30.0
"""From first crack on beans give off steam and heat of their own, and the rate swings by 1 to
2 °C/min within half a minute (common practice, no source): so freely the slope wanders there
whatever else is expected, °C²/s³, and so fast that dies away. Of seven variants tried on seeds 5
and 8 of benchmarks/rate_of_rise.py those that let it wander more are no better."""


def restlessness(
    time_s: float, plunge_at_s: float | None, cracked_s: float | None, *, beside: bool
) -> float:
    """How freely the slope may wander at `time_s` beside all that is expected, °C²/s³.

    `plunge_at_s` None is preheat, `cracked_s` None is before first crack; `beside` a course less
    of the plunge is unknown.
    """
    if plunge_at_s is None:
        return _Q_PREHEAT
    since_s = max(time_s - plunge_at_s, 0.0)
    plunge = _Q_PLUNGE_DEPARTURE if beside else _Q_PLUNGE
    q = plunge * exp(-2.0 * since_s / PROBE_LAG_S)
    if cracked_s is not None and time_s > cracked_s:
        q += _Q_CRACK * exp(-(time_s - cracked_s) / _CRACKS_S)
    return q
