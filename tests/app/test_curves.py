"""The curves of the Roast screen where readings are missing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from roastside.app.curves import lane, whole
from roastside.app.moment import Moment
from roastside.core.units import CELSIUS
from tests.app.views import moment


def silent_between(from_s: float, to_s: float, step: int = 1) -> Moment:
    """A roast of which only one reading of `step` came, and none from one elapsed second on."""
    found = moment(500.0)
    view = found.view
    assert view.charge_s is not None
    elapsed_s = view.time_s - view.charge_s
    kept = (elapsed_s <= from_s) | (elapsed_s >= to_s)
    kept &= np.arange(len(kept)) % step == 0
    names = ("time_s", "bean_c", "level_c", "air_c", "rate_c_per_min", "deviation_c", "ahead_s")
    return replace(found, view=replace(view, **{n: getattr(view, n)[kept] for n in names}))


def broken_at(x: np.ndarray, y: np.ndarray) -> list[float]:
    """Where a curve is interrupted before its end, elapsed seconds."""
    return [float(at) for at in x[:-1][np.isnan(y[:-1])]]


def test_nothing_is_drawn_across_a_silence() -> None:
    found = silent_between(300.0, 330.0)
    bean = next(each for each in whole(found, CELSIUS).series if each.name == "bean")
    [at_s] = broken_at(bean.x, bean.y)
    assert at_s == pytest.approx(300.0, abs=1.0)
    drawn = lane(found, CELSIUS)
    [at_s] = broken_at(drawn.x, drawn.deviation_c)
    assert at_s == pytest.approx(300.0, abs=1.0)


def test_a_blink_or_a_slow_probe_is_no_silence() -> None:
    for found in (silent_between(300.0, 309.0), silent_between(0.0, 0.0, step=40)):
        bean = next(each for each in whole(found, CELSIUS).series if each.name == "bean")
        assert broken_at(bean.x, bean.y) == []
