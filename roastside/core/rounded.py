"""What a rounded reading tells: that the value lies in an interval, and no more."""

from __future__ import annotations

from math import erf, exp, pi, sqrt

_SQRT_2 = sqrt(2.0)
_SQRT_2_PI = sqrt(2.0 * pi)

_FAR_MASS = 1e-9
_LEAST_VARIANCE = 1e-4


def within(low: float, high: float) -> tuple[float, float, float]:
    """Mean, variance and mass of a standard normal cut to [low, high].

    Far out in a tail, where the mass is lost in rounding, the nearer edge stands for the mean.
    Source: Johnson, Kotz and Balakrishnan, "Continuous Univariate Distributions", volume 1
    (1994), section 13.10.1, doubly truncated normal. Used as in Curry, "Estimation and Control
    with Quantized Measurements" (1970), the Gaussian fit.
    """
    mass = 0.5 * (erf(high / _SQRT_2) - erf(low / _SQRT_2))
    if mass < _FAR_MASS:
        edge = low if low > 0.0 else high if high < 0.0 else 0.0
        return edge, _LEAST_VARIANCE, max(mass, 1e-300)
    at_low = exp(-0.5 * low * low) / _SQRT_2_PI
    at_high = exp(-0.5 * high * high) / _SQRT_2_PI
    mean = (at_low - at_high) / mass
    variance = 1.0 + (low * at_low - high * at_high) / mass - mean * mean
    return mean, min(max(variance, _LEAST_VARIANCE), 1.0), mass
