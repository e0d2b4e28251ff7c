"""What a roast may be doing: the motions followed side by side, alone and beside a course."""

from __future__ import annotations

from math import inf

from roastside.core.mixture import Hypothesis
from roastside.core.singer import Motion

# How a roast moves beside slowing down as it nears the air (see `air.py`). For minutes its rate
# drifts by a few °C/min in five minutes (0.0003 °C/s²); a hand on the controls, or first crack,
# changes it by several °C/min within half a minute (0.002 °C/s²); something breaks, and it changes
# at once. Beside a reference only what departs from it has to be followed. Orders of magnitude;
# within them chosen among some twenty variants on seeds 5, 6 and 8 of benchmarks/rate_of_rise.py,
# which lie within a fiftieth.
_STEADY = Motion(3e-4, 60.0)
_FOLLOWING = Motion(3e-4, 40.0)
_DEPARTING = Motion(1e-4, 60.0)
_TURNING = Motion(2e-3, 20.0)
_BREAKING = Motion(5e-3, 20.0)

BY_TIME = "by time"
BY_PLACE = "by place"
BY_AIR = "by air"

ALONE = (
    Hypothesis(_FOLLOWING, 0.4, BY_AIR),
    Hypothesis(_STEADY, 0.2),
    Hypothesis(_TURNING, 0.35, BY_AIR, anew=True),
    Hypothesis(_BREAKING, 0.05, BY_AIR, anew=True),
)
BESIDE = (
    Hypothesis(_DEPARTING, 0.45, BY_TIME),
    Hypothesis(_DEPARTING, 0.35, BY_PLACE),
    Hypothesis(_FOLLOWING, 0.08, BY_AIR),
    Hypothesis(_TURNING, 0.1, BY_AIR, anew=True),
    Hypothesis(_BREAKING, 0.02, BY_AIR, anew=True),
)

_STAYS_ALONE_S = 150.0
_STAYS_BESIDE_S = 400.0
"""How long a hypothesis usually stays the right one. Choices, not taken from a source: a roast
alone passes from stage to stage; one that repeats its reference does so to the end, or leaves it
once."""

_STAYS_AT_FIRST_S, _STAYS_SHARE = 30.0, 0.7
"""A roast alone passes from the plunge over its turn to its fastest rise within two minutes, and
has ten for all the rest. So a hypothesis stays the right one for no longer than this share of what
has passed since the plunge, but half a minute at least. Choices on seeds 1, 5 and 6 of
benchmarks/rate_of_rise.py, where half gives nearly the same, and a third with 20 s is worse."""


def stays_s(since_plunge_s: float, beside: bool) -> float:
    """How long a hypothesis usually stays the right one, seconds; `since_plunge_s` is inf if there
    was none."""
    if beside:
        return _STAYS_BESIDE_S
    if since_plunge_s == inf:
        return _STAYS_ALONE_S
    return min(max(_STAYS_AT_FIRST_S, _STAYS_SHARE * since_plunge_s), _STAYS_ALONE_S)
