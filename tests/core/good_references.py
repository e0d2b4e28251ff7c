"""References whose truth is a closed formula, without any noise, to be edited and averaged."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import strategies as st

from roastside.core.cues import Cue
from roastside.core.reference import Reference
from tests.core.roasts import Truth

YELLOWING_C, FIRST_CRACK_C = 150.0, 196.0


def good_reference(
    truth: Truth, title: str = "House espresso v3", corridor: bool = True
) -> Reference:
    """The roast of `truth` as it is, with every mark and three cues."""
    elapsed_s = np.append(np.arange(0.0, truth.drop_s, 0.5), truth.drop_s)
    bean_c = np.array([truth.bean_c(truth.charge_s + at) for at in elapsed_s])
    slope = np.array([truth.slope_c_per_s(at) for at in elapsed_s])
    marks = {
        "charge": 0.0,
        "turning_point": truth.turning_point_s,
        "yellowing": truth.reaches_s(YELLOWING_C),
        "first_crack": truth.reaches_s(FIRST_CRACK_C),
        "drop": truth.drop_s,
    }
    wide_c = 1.5 + 0.001 * elapsed_s if corridor else None
    reference = Reference.from_curve(title, elapsed_s, bean_c, slope, marks, wide_c)
    said = ("heat to 78 %", "heat to 70 %, air to 40 %", "heat to 60 %")
    names = ("yellowing", "first_crack", "drop")
    places = [
        marks[name] - ahead_s for name, ahead_s in zip(names, (60.0, 40.0, 30.0), strict=True)
    ]
    cues: list[Cue] = [reference.cue(at, words) for at, words in zip(places, said, strict=True)]
    return replace(reference, cues=tuple(cues))


HOUSE = good_reference(Truth())


def dropped_after(truth: Truth, development_s: float) -> Truth:
    """The same roast, dropped so long after first crack."""
    return replace(
        truth, drop_s=replace(truth, drop_s=2000.0).reaches_s(FIRST_CRACK_C) + development_s
    )


truths = st.builds(
    dropped_after,
    st.builds(
        Truth,
        preheat_c=st.floats(180.0, 220.0),
        lag_s=st.floats(8.0, 20.0),
        begins_c=st.floats(40.0, 70.0),
        limit_c=st.floats(230.0, 262.0),
        warming_s=st.floats(330.0, 450.0),
    ),
    st.floats(60.0, 140.0),
)
"""Roasts of many shapes."""

references = truths.map(good_reference)
