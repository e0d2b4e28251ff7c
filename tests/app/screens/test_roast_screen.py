"""The Roast screen, driven by its keys."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from roastside.app.app import RoastsideApp
from roastside.app.screens.dialogs import EndDialog, LineDialog
from roastside.app.screens.keys import KeysScreen, keys_of
from roastside.app.screens.roast import RoastScreen
from roastside.app.widgets.chart import CurveChart
from roastside.app.widgets.figures import Figures
from roastside.app.widgets.lane import CorridorLane
from roastside.core.plan import RoastPlan
from roastside.core.readings import MarkName
from roastside.core.session import Session
from roastside.live.demo import demo_reference
from roastside.live.home import note_cautions_read
from roastside.live.opening import new_recorder
from roastside.live.roast import LiveRoast
from roastside.probes.practice import PracticeSource, Script
from roastside.record.reader import read_roast_file

PATIENCE_S = 20.0


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path / "home"))
    note_cautions_read()
    return tmp_path


NEVER_YELLOW = RoastPlan(yellowing_c=400.0)
"""No mark is found between the test's own, however slow the machine."""


def practice(
    speed: float | None, recording: Path | None = None, plan: RoastPlan | None = None
) -> LiveRoast:
    """A practice roast whose keys nobody presses but the test."""
    reference = demo_reference()
    recorder = None
    if recording is not None:
        from datetime import UTC, datetime

        recorder = new_recorder(recording, datetime(2026, 3, 2, tzinfo=UTC), "test", reference)
    source = PracticeSource(Script(marked_by_hand=False, charge_at_s=5.0), speed)
    roast = LiveRoast(source, Session(plan or RoastPlan(), reference), recorder)
    roast.open()
    return roast


async def until(pilot: Pilot[None], holds: Callable[[], bool], what: str) -> None:
    """Wait, within reason, until something holds."""
    for _ in range(int(PATIENCE_S / 0.02)):
        if holds():
            await pilot.pause()
            return
        await asyncio.sleep(0.02)
    raise AssertionError(f"waited {PATIENCE_S:.0f} s in vain for {what}")


def shown(app: RoastsideApp) -> str:
    """All text of the screen."""
    screen = app.screen
    return "\n".join(
        "".join(segment.text for segment in strip) for strip in screen._compositor.render_strips()
    )


async def test_a_mark_by_key_can_be_moved_back_and_withdrawn() -> None:
    roast = practice(speed=30.0, plan=NEVER_YELLOW)
    app = RoastsideApp(roast)
    async with app.run_test(size=(80, 24)) as pilot:
        marks = lambda: roast.board.view().marks  # noqa: E731
        await until(pilot, lambda: MarkName.TURNING_POINT in marks(), "the turning point")
        await pilot.press("f")
        await until(pilot, lambda: MarkName.FIRST_CRACK in marks(), "first crack")
        first_s = marks()[MarkName.FIRST_CRACK]
        await pilot.press("b", "b")
        await until(
            pilot,
            lambda: marks()[MarkName.FIRST_CRACK] == pytest.approx(first_s - 10.0, abs=0.01),
            "two steps back",
        )
        await pilot.press("u", "u", "u")
        await until(
            pilot, lambda: MarkName.FIRST_CRACK not in marks(), "both moves and the mark undone"
        )
        roast.end()


async def test_no_single_key_ends_a_roast() -> None:
    roast = practice(speed=10.0)
    app = RoastsideApp(roast)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        for key in ("q", "ctrl+q"):
            await pilot.press(key)
            await until(pilot, lambda: isinstance(app.screen, EndDialog), "the question")
            await pilot.press("escape")
            await until(pilot, lambda: isinstance(app.screen, RoastScreen), "the roast")
            assert not roast.over
        await pilot.press("q")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, RoastScreen), "the roast")
        assert not roast.over, "Enter right after q must stay: the safe button has the focus"
        await pilot.press("q", "e")
        await until(pilot, lambda: roast.over, "the end")
        await pilot.press("q")
    assert app.return_code == 0


async def test_notes_and_controls_are_recorded_at_the_moment_of_the_key(tmp_path: Path) -> None:
    recording = tmp_path / "roast.csv"
    roast = practice(speed=10.0, recording=recording)
    app = RoastsideApp(roast)
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: roast.board.view().charge_s is not None, "charge")
        pressed_s = roast.source.now_s()
        await pilot.press("n")
        await until(pilot, lambda: isinstance(app.screen, LineDialog), "the question")
        await asyncio.sleep(0.2)
        await pilot.press(*"smells of hay", "enter")
        await pilot.press("k", *"heat 55", "enter")
        await until(pilot, lambda: "heat 55 %" in [w.text for w in roast.board.view().log], "heat")
        roast.end()
    rows = [row for row in read_roast_file(recording).rows if row.mark]
    note = next(row for row in rows if row.note == "smells of hay")
    assert 0.0 <= note.time_s - pressed_s < 2.0 + 10.0 * 0.2
    control = next(row for row in rows if row.mark == MarkName.CONTROL)
    assert (control.value, control.note) == ("55", "heat %")
    source = roast.source
    assert isinstance(source, PracticeSource)
    assert source.batch.roaster.heat == pytest.approx(0.55), "the practice roaster obeys"


async def test_a_control_without_a_number_is_asked_for_again_with_the_text_kept() -> None:
    roast = practice(speed=10.0)
    app = RoastsideApp(roast)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("k", *"fan", "enter")
        await until(pilot, lambda: "such as: heat 70" in shown(app), "the sentence")
        assert isinstance(app.screen, LineDialog)
        await pilot.press(*" 3", "enter")
        await until(pilot, lambda: "fan 3 %" in [w.text for w in roast.board.view().log], "fan")
        assert MarkName.FIRST_CRACK not in roast.board.view().marks
        roast.end()


async def test_no_mark_comes_before_charge_and_none_is_moved_by_one_press() -> None:
    roast = practice(speed=10.0)
    app = RoastsideApp(roast)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("d")
        await until(pilot, lambda: "No charge yet" in shown(app), "the sentence")
        assert MarkName.DROP not in roast.board.view().marks
        await until(pilot, lambda: roast.board.view().charge_s is not None, "charge")
        await pilot.press("f")
        marks = lambda: roast.board.view().marks  # noqa: E731
        await until(pilot, lambda: MarkName.FIRST_CRACK in marks(), "first crack")
        first_s = marks()[MarkName.FIRST_CRACK]
        await pilot.pause(0.3)
        await pilot.press("f")
        await until(pilot, lambda: "press again to move it" in shown(app), "the question")
        assert marks()[MarkName.FIRST_CRACK] == first_s
        await pilot.press("f")
        await until(pilot, lambda: marks()[MarkName.FIRST_CRACK] > first_s, "the move")
        await pilot.press("u")
        await until(pilot, lambda: marks()[MarkName.FIRST_CRACK] == first_s, "the move undone")
        roast.end()


async def test_a_question_leaves_the_roast_in_sight() -> None:
    roast = practice(speed=10.0)
    app = RoastsideApp(roast)
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: roast.board.view().last is not None, "a reading")
        await pilot.press("n")
        both = ("Enter keeps it", "bean")
        await until(pilot, lambda: all(map(shown(app).count, both)), "question and roast")
        roast.end()


@pytest.mark.parametrize("size", [(80, 24), (160, 45), (100, 30), (40, 10), (20, 4)])
async def test_it_draws_a_whole_roast_at_every_size(size: tuple[int, int]) -> None:
    roast = practice(speed=None)
    app = RoastsideApp(roast)
    async with app.run_test(size=size) as pilot:
        await until(pilot, lambda: roast.over, "the end of the roast")
        await pilot.pause(0.3)
        assert roast.trouble == ""
        assert roast.exit_code == 0
        if size[0] >= 60:
            assert "bean" in shown(app)
            assert app.screen.query_one(CorridorLane).data.tolerance_c == 2.0
        elif size[1] >= 8:
            assert "larger window" in shown(app)


async def test_a_small_window_still_shows_the_figures_and_says_what_is_missing() -> None:
    roast = practice(speed=20.0)
    app = RoastsideApp(roast)
    async with app.run_test(size=(40, 10)) as pilot:
        await until(pilot, lambda: roast.board.view().last is not None, "a reading")
        await pilot.pause(0.3)
        assert app.screen.query_one(Figures).figures
        assert "larger window" in shown(app)
        await pilot.resize_terminal(100, 30)
        await pilot.pause(0.3)
        assert "larger window" not in shown(app)
        roast.end()


async def test_hush_is_shown_with_its_countdown_and_taken_back() -> None:
    roast = practice(speed=10.0)
    app = RoastsideApp(roast)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("h")
        await until(pilot, lambda: "hushed" in shown(app), "the countdown")
        await pilot.press("h")
        await until(pilot, lambda: "hushed" not in shown(app), "its end")
        roast.end()


async def test_every_key_of_the_screen_is_in_the_command_palette() -> None:
    roast = practice(speed=10.0)
    app = RoastsideApp(roast)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, RoastScreen)
        offered = {command.help for command in app.get_system_commands(screen)}
        assert {binding.tooltip or binding.description for _, binding in keys_of(screen)} <= offered
        assert len(keys_of(screen)) == len(screen.BINDINGS)
        roast.end()


async def test_the_list_of_keys_does_what_is_picked_by_mouse() -> None:
    roast = practice(speed=30.0)
    app = RoastsideApp(roast)
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: roast.board.view().charge_s is not None, "charge")
        await pilot.press("question_mark")
        await until(pilot, lambda: isinstance(app.screen, KeysScreen), "the keys")
        await until(pilot, lambda: "first crack begins" in shown(app), "their words")
        await pilot.click("#keys", offset=(4, 1))
        await until(
            pilot, lambda: MarkName.FIRST_CRACK in roast.board.view().marks, "the mark picked"
        )
        roast.end()


async def test_text_from_people_is_never_taken_as_markup_or_control_codes() -> None:
    roast = practice(speed=10.0)
    app = RoastsideApp(roast)
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: roast.board.view().charge_s is not None, "charge")
        roast.mark(MarkName.COMMENT, note="[bold red]\x1b[31mred[/]")
        await until(pilot, lambda: "[bold red]" in shown(app), "the note as it was typed")
        assert "\x1b" not in shown(app)
        roast.end()


async def test_the_lag_corrected_curve_comes_and_goes_with_its_key() -> None:
    roast = practice(speed=60.0)
    app = RoastsideApp(roast)
    async with app.run_test(size=(160, 45)) as pilot:
        drawn = lambda: [s.name for s in app.screen.query_one(CurveChart).data.series]  # noqa: E731
        said = lambda: " ".join(line.text for line in roast.board.view().log)  # noqa: E731
        await until(pilot, lambda: roast.board.view().charge_s is not None, "charge")
        assert "lag-corrected" not in said()
        await pilot.press("l")
        await until(pilot, lambda: "lag-corrected" in drawn(), "the curve, once the lag is known")
        await until(pilot, lambda: "lag-corrected" in shown(app), "its name in the legend")
        await until(pilot, lambda: "the probe reads" in said(), "its worth")
        assert "comes a minute past" not in said()
        await pilot.press("l")
        await until(pilot, lambda: "lag-corrected" not in drawn(), "its end")
        assert "the probe reads" not in said()
        roast.end()
        await pilot.press("l")
        await until(pilot, lambda: "lag-corrected" in drawn(), "the curve of a roast that is over")
        assert said().count("the probe reads") == 1


async def test_at_the_drop_the_log_has_room_for_what_is_said_of_the_roast() -> None:
    roast = practice(speed=None)
    app = RoastsideApp(roast)
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: roast.over, "the end of the roast")
        await until(pilot, lambda: "Against House espresso v3:" in shown(app), "the comparison")
        await until(pilot, lambda: "from charge to" in shown(app), "the verdict below it")
        assert not app.screen.query_one(CorridorLane).display
        assert "bean" in shown(app)
