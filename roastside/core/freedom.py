"""How freely a curve may bend, found from the curve itself, moment by moment."""

from __future__ import annotations

import numpy as np

from roastside.core.jerk import UNSEEN, Curve, Smooth, log_likelihood, smooth

JERKS = np.geomspace(1e-9, 1e-1, 9)
"""°C²/s⁵, in decades. At 1e-9 a rate of rise strays from a straight line by 0.2 °C/min within half
a minute and by 1.4 within two; at 1e-1 it follows a probe thrown into cold beans."""

_AT_CRACK = 7e-8
"""At first crack the rate swings by 1 to 2 °C/min within half a minute (common practice, no
source): 0.025 °C/s is what such a jerk, °C²/s⁵, comes to in 30 s."""

_STAYS_S = 60.0
"""How long one decade usually remains the right one; a choice, and little hangs on it."""

_LEAST_LOG_LIKELIHOOD = -50.0


def smoothest(time_s: Curve, value: Curve, variance: Curve) -> Smooth:
    """The likeliest curve through values of known error, shape (n,) each, with its own stiffness.

    The series is read backwards, from its calm end to the plunge at its beginning: a stiff curve
    that has once met a plunge would misjudge all that comes after.
    """
    back_s, back, errs = -time_s[::-1], value[::-1], variance[::-1]
    told = np.column_stack([log_likelihood(back_s, back, errs, jerk) for jerk in JERKS])
    jerk, likelihood = jerk_told(back_s, told)
    return turned_round(smooth(back_s, back, errs, through_gaps(jerk, errs)), likelihood)


def through_gaps(jerk: Curve, variance: Curve) -> Curve:
    """The jerk up to each value, where no reading tells of it no less than at first crack.

    variance: of each value, UNSEEN within a gap; arrays of shape (n,). However calm the readings
    on either side, beans may have cracked in between.
    """
    unseen = variance >= UNSEEN
    crossed = unseen | np.concatenate(([False], unseen[:-1]))
    free: Curve = np.where(crossed, np.maximum(jerk, _AT_CRACK), jerk)
    return free


def turned_round(found: Smooth, told: float) -> Smooth:
    """A curve found backwards, the right way round, and how likely it makes all values."""
    return Smooth(
        found.level[::-1],
        -found.slope[::-1],
        found.level_variance[::-1],
        found.slope_variance[::-1],
        told,
    )


def jerk_told(time_s: Curve, told: Curve) -> tuple[Curve, float]:
    """The intensity of the jerk at each time, and the log likelihood of the whole series.

    `told`, shape (n, 9), is the log likelihood of each value under each of JERKS. Which of them is
    right is a Markov chain that steps from decade to decade; the mean of the logarithm, given all
    values, is taken. Source: the forward-backward algorithm (Rabiner, "A Tutorial on Hidden Markov
    Models", Proc. IEEE 77, 1989, section III).
    """
    best = told.max(axis=1, keepdims=True)
    # However unlikely a value is, no state becomes impossible: an impossible one never comes back.
    likelihood = np.exp(np.maximum(told - best, _LEAST_LOG_LIKELIHOOD))
    moves = 1.0 - np.exp(-np.diff(time_s, prepend=time_s[0]) / _STAYS_S)
    weight = np.full(len(JERKS), 1.0 / len(JERKS))
    weights = np.empty_like(likelihood)
    shares = np.empty(len(moves))
    for k, move in enumerate(moves):
        weight = (weight + move * (weight @ _NEIGHBOURS - weight)) * likelihood[k]
        shares[k] = weight.sum()
        weight /= shares[k]
        weights[k] = weight
    later = np.ones(len(JERKS))
    for k in range(len(moves) - 1, 0, -1):
        later *= likelihood[k]
        later += moves[k] * (_NEIGHBOURS @ later - later)
        later /= later.sum()
        weights[k - 1] *= later
    weights /= weights.sum(axis=1, keepdims=True)
    jerk: Curve = np.exp(weights @ np.log(JERKS))
    return jerk, float(np.sum(best) + np.sum(np.log(shares)))


def _neighbours(count: int) -> Curve:
    """Chances to step from one decade (row) to the next one up or down (column)."""
    steps = np.eye(count, k=1) + np.eye(count, k=-1)
    chances: Curve = steps / steps.sum(axis=1, keepdims=True)
    return chances


_NEIGHBOURS = _neighbours(len(JERKS))
