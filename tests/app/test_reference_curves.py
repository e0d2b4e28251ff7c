"""What the charts of references draw."""

from __future__ import annotations

from pathlib import Path

import pytest

from roastside.app.draw.chart import ChartScales, draw_chart
from roastside.app.reference_curves import rate_chart
from roastside.core.change import edited
from roastside.core.units import CELSIUS, FAHRENHEIT, Degrees
from roastside.live.opening import load_reference

REFERENCE = Path(__file__).resolve().parents[2] / "fixtures" / "house-espresso-v3.csv"


@pytest.mark.parametrize("degrees", [CELSIUS, FAHRENHEIT])
def test_the_strip_of_the_change_of_rate_tells_its_extent_in_the_users_degrees(
    degrees: Degrees,
) -> None:
    before = load_reference(REFERENCE)
    data = rate_chart(edited(before, "browning 20 s longer", degrees), degrees, before.end_s)
    assert data.left_range is not None
    head = draw_chart(data, ChartScales(), 70, 5).text()[0]
    assert f"±{data.left_range[1]:.1f} {degrees.unit}/min" in head
