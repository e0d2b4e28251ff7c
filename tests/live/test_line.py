"""Which line is listened to: what is named, or what is kept."""

from __future__ import annotations

from pathlib import Path

import pytest

from roastside.core.errors import StoreError, UsageError
from roastside.live.line import Line, check_line, chosen_line, keep_line, typed_line
from roastside.live.settings import load_settings, settings_path

KEPT = Line("/dev/ttyUSB7", 19200, "lines:bean=2,air=1")


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


def test_what_was_kept_is_what_is_listened_to() -> None:
    assert keep_line(KEPT) == settings_path()
    assert chosen_line() == KEPT


def test_what_is_given_wins() -> None:
    keep_line(KEPT)
    assert chosen_line(baud=4800) == Line(KEPT.port, 4800, KEPT.wire)
    assert chosen_line(wire="lines") == Line(KEPT.port, KEPT.baud, "lines")


def test_a_kept_speed_and_wire_belong_to_the_kept_port_only() -> None:
    keep_line(KEPT)
    assert chosen_line("COM3") == Line("COM3", 9600, "lines")


def test_with_nothing_kept_a_person_is_told_how_to_find_it() -> None:
    with pytest.raises(UsageError, match="roastside probes --save"):
        chosen_line()


def test_keeping_a_line_leaves_other_settings_alone(home: Path) -> None:
    home.mkdir()
    settings_path().write_text('[display]\nunit = "F"\n')
    keep_line(KEPT)
    assert load_settings().display.unit == "F"


def test_settings_that_cannot_be_read_are_not_written_over(home: Path) -> None:
    home.mkdir()
    settings_path().write_text("[probe")
    with pytest.raises(UsageError, match="mend it"):
        keep_line(KEPT)
    assert settings_path().read_text() == "[probe"


def test_a_choice_that_cannot_be_kept_is_told(home: Path) -> None:
    home.touch()
    with pytest.raises(StoreError, match="cannot be kept"):
        keep_line(KEPT)


@pytest.mark.parametrize(
    ("baud", "wire", "line"),
    [
        ("", "", Line("COM3", 9600, "lines")),
        ("19200", "lines:bean=2", Line("COM3", 19200, "lines:bean=2")),
    ],
)
def test_what_is_left_empty_is_as_usual(baud: str, wire: str, line: Line) -> None:
    assert typed_line("COM3", baud, wire) == line


@pytest.mark.parametrize("baud", ["fast", "-9600", "96.5", "²"])
def test_a_speed_of_words_is_refused(baud: str) -> None:
    with pytest.raises(UsageError, match="not a whole number"):
        typed_line("COM3", baud, "")


@pytest.mark.parametrize(
    ("line", "says"),
    [
        (Line("COM3", 0, "lines"), "no line has the speed 0"),
        (Line("COM3", 10**9, "lines"), "no line has the speed"),
        (Line("COM3", 9600, "morse"), "morse"),
        (Line("COM3", 9600, "lines:bean=0"), "bean"),
    ],
)
def test_a_line_that_makes_no_sense_is_refused(line: Line, says: str) -> None:
    with pytest.raises(UsageError, match=says):
        check_line(line)


def test_a_line_may_be_kept_before_anything_is_plugged_in() -> None:
    check_line(KEPT)
