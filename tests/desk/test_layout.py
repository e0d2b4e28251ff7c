"""A layout is typed, told, and kept, and says the same each time."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from roastside.core.errors import UsageError
from roastside.desk.layout import TIME_UNITS, UNITS, Layout, parse_map, told_of

NAMES = ("Time(s)", "Temp 1 (°C)", "Temp, 2", "Remark")


def test_a_typed_map_names_columns_by_name_by_number_or_without_their_unit() -> None:
    told = parse_map('time=time(S), "bean=Temp, 2", air=temp 1, event=4, unit=F, mark:Pop=drop')
    layout = told_of(NAMES, Layout("", ""), told)
    assert layout == Layout(
        "Time(s)", "Temp, 2", "Temp 1 (°C)", event="Remark", unit="F", marks={"pop": "drop"}
    )
    assert layout.fits(NAMES)
    assert not layout.fits(NAMES[:2])


@pytest.mark.parametrize(
    "text", ["bean", "beans=3", "unit=R", "time_unit=days", "mark:pop=explosion", "=x"]
)
def test_a_map_that_makes_no_sense_is_refused_in_a_sentence(text: str) -> None:
    with pytest.raises(UsageError, match="--map"):
        parse_map(text)


@pytest.mark.parametrize("text", ["bean=Temp 7", "bean=9", "time=", "bean=1,time=1"])
def test_a_map_that_does_not_fit_the_table_is_refused(text: str) -> None:
    with pytest.raises(UsageError):
        told_of(NAMES, Layout("Time(s)", "Temp, 2"), parse_map(text))


WORDS = st.text("abc ,\"'(°)", min_size=1).map(str.strip).filter(bool)


@given(WORDS, WORDS, st.sampled_from(TIME_UNITS), st.sampled_from(UNITS))
def test_a_layout_survives_being_told_as_a_map_and_being_kept(
    time: str, bean: str, time_unit: str, unit: str
) -> None:
    layout = Layout(time, bean, time_unit=time_unit, unit=unit, marks={"pop": "first_crack"})
    assert Layout.from_json(layout.as_json()) == layout
    told = parse_map(layout.as_map())
    assert (told["time"], told["bean"], told["unit"]) == (time, bean, unit)


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"time": "a", "bean": "b", "moon": "full"}'])
def test_what_was_kept_by_another_roastside_is_passed_over(text: str) -> None:
    assert Layout.from_json(text) is None
