"""The Replay screen, driven by its keys and by the mouse."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from textual.pilot import Pilot

from roastside.app.app import RoastsideApp
from roastside.app.screens.keys import KeysScreen, keys_of
from roastside.app.screens.replay import ReplayScreen
from roastside.app.screens.roast import RoastScreen
from roastside.app.widgets.scrubber import Scrubber
from roastside.core.plan import RoastPlan
from roastside.core.readings import MarkName
from roastside.core.session import Session
from roastside.live.home import note_cautions_read
from roastside.live.opening import load_reference
from roastside.live.replay import Replay
from roastside.live.roast import LiveRoast
from roastside.probes.replay import ReplaySource
from tests.app.screens.test_roast_screen import shown, until

FIXTURES = Path(__file__).resolve().parents[3] / "fixtures"
HOUSE = FIXTURES / "house-espresso-v3.csv"
SLOW = FIXTURES / "house-slow-browning.csv"


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path / "home"))
    note_cautions_read()


LAST_WORDS = "Drop 44 s later, 1.7 °C cooler."
"""The end of what there is to say of the roast after its drop."""


def replay_of(
    file: Path = SLOW, speed: float | None = 10.0, against: Path | None = HOUSE
) -> Replay:
    reference = load_reference(against) if against else None
    return Replay(file, Session(RoastPlan(), reference), speed)


@asynccontextmanager
async def paused(
    replay: Replay, size: tuple[int, int] = (80, 24)
) -> AsyncIterator[tuple[RoastsideApp, Pilot[None]]]:
    """The app on a replay that was followed to its end and stands still at its beginning."""
    app = RoastsideApp(replay=replay)
    async with app.run_test(size=size) as pilot:
        await until(pilot, lambda: replay.boards.whole, "the end of the recording")
        replay.playhead.pause()
        await pilot.press("home")
        await until(pilot, lambda: "paused" in shown(app), "the beginning")
        yield app, pilot


async def test_it_plays_as_soon_as_it_is_opened_and_space_pauses_it() -> None:
    replay = replay_of(speed=60.0)
    app = RoastsideApp(replay=replay)
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: "playing ×60" in shown(app), "the replay")
        await until(pilot, lambda: replay.now_s > 60.0, "a minute of the roast")
        await pilot.press("space")
        await until(pilot, lambda: "paused  ×60" in shown(app), "the pause")
        paused_at_s = replay.now_s
        await pilot.pause(0.15)
        assert replay.now_s == paused_at_s


async def test_opened_at_no_speed_it_shows_the_end_and_the_last_word() -> None:
    replay = replay_of(speed=None)
    app = RoastsideApp(replay=replay)
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: "from charge to drop" in shown(app), "the last word")
        assert "12:41 of 12:41" in shown(app)
        assert not replay.playhead.playing


def picture(app: RoastsideApp) -> dict[str, list[str]]:
    """The rows of what is drawn, by the name of its place."""
    places = {name: app.screen.query_one(f"#{name}") for name in ("figures", "stages")}
    return {
        name: [strip.text.rstrip() for strip in place.render_lines(place.size.region)]
        for name, place in places.items()
    }


@pytest.mark.parametrize("size", [(80, 24), (160, 45)])
async def test_it_shows_what_the_roast_screen_shows_of_the_same_roast(
    size: tuple[int, int],
) -> None:
    """The Roast screen is given the same file as fast as it can be read, to its end.

    Then many readings come at once, so the same words may stand at another time in its log.
    """
    replay = replay_of()
    async with paused(replay, size) as (app, pilot):
        await pilot.press("end")
        await until(pilot, lambda: LAST_WORDS in shown(app), "the last word")
        replayed, words = picture(app), {line.text for line in replay.view().log}
    live = LiveRoast(ReplaySource(SLOW, None), Session(RoastPlan(), load_reference(HOUSE)))
    live.open()
    roast = RoastsideApp(live)
    async with roast.run_test(size=size) as pilot:
        await until(pilot, lambda: isinstance(roast.screen, RoastScreen), "the roast")
        await until(pilot, lambda: picture(roast) == replayed, "the same picture")
        await until(pilot, lambda: LAST_WORDS in shown(roast), "the last word")
        log = live.board.view().log
        assert words == {line.text for line in log if "from charge to drop" not in line.text}


async def test_what_came_later_is_not_known_yet() -> None:
    replay = replay_of()
    async with paused(replay) as (app, pilot):
        replay.playhead.jump(replay.marks[MarkName.YELLOWING] - 5.0)
        await pilot.press("space", "space")
        await until(pilot, lambda: "queue at the counter" in shown(app), "the note before")
        assert "yellowing (detected)" not in shown(app)
        assert "first crack in" not in shown(app)
        await pilot.press("shift+right")
        await until(pilot, lambda: "yellowing (detected)" in shown(app), "yellowing")
        await pilot.press("shift+left")
        await until(pilot, lambda: "yellowing (detected)" not in shown(app), "before again")


async def test_keys_move_by_seconds_minutes_readings_and_marks() -> None:
    replay = replay_of()
    async with paused(replay) as (app, pilot):
        begin_s, end_s = replay.boards.begin_s, replay.boards.end_s
        crack_s = replay.marks[MarkName.FIRST_CRACK]
        for key, at_s in [
            ("pagedown", begin_s + 60.0),
            ("shift+right", begin_s + 70.0),
            ("right", begin_s + 71.0),
            ("left", begin_s + 70.0),
            ("full_stop", begin_s + 70.5),
            ("comma", begin_s + 70.0),
            ("shift+left", begin_s + 60.0),
            ("pageup", begin_s),
            ("end", end_s),
            ("left_square_bracket", replay.marks[MarkName.DROP]),
            ("left_square_bracket", crack_s),
            ("right_square_bracket", replay.marks[MarkName.DROP]),
            ("home", begin_s),
        ]:
            await pilot.press(key)
            assert replay.now_s == pytest.approx(at_s, abs=0.001), key
        assert isinstance(app.screen, ReplayScreen)


async def test_plus_and_minus_change_the_speed() -> None:
    async with paused(replay_of()) as (app, pilot):
        await pilot.press("plus")
        await until(pilot, lambda: "×30" in shown(app), "a higher speed")
        await pilot.press("minus", "minus")
        await until(pilot, lambda: "×5 " in shown(app), "a lower one")


async def test_the_mouse_goes_where_it_clicks_and_while_it_is_held_where_it_is() -> None:
    replay = replay_of()
    async with paused(replay, (160, 45)) as (app, pilot):
        scrubber = app.screen.query_one(Scrubber)
        bar = scrubber.render_line(0).text
        middle = bar.rindex("─") // 2
        await pilot.click(scrubber, offset=(bar.rindex("─") + 1, 0))
        await until(pilot, lambda: replay.now_s == replay.boards.end_s, "the end")
        await pilot.mouse_down(scrubber, offset=(middle, 0))
        await until(pilot, lambda: replay.now_s < replay.boards.end_s, "the middle")
        there_s = replay.now_s
        await pilot.hover(scrubber, offset=(middle + 10, 0))
        await until(pilot, lambda: replay.now_s > there_s, "more to the right")
        await pilot.mouse_up(scrubber, offset=(middle + 10, 0))
        held_s = replay.now_s
        await pilot.hover(scrubber, offset=(middle - 10, 0))
        assert replay.now_s == held_s


async def test_where_the_roast_stands_is_said_in_words_that_are_shown() -> None:
    replay = replay_of()
    async with paused(replay, (160, 45)) as (app, pilot):
        replay.playhead.jump(replay.marks[MarkName.FIRST_CRACK] - 60.0)
        await pilot.press("v")
        await until(pilot, lambda: "seconds behind" in shown(app), "the words")


async def test_the_lag_corrected_curve_can_be_shown_and_is_not_known_early() -> None:
    async with paused(replay_of(), (160, 45)) as (app, pilot):
        await pilot.press("l")
        await until(pilot, lambda: "comes a minute past the turning" in shown(app), "the reason")
        assert "lag-corrected ⠒" not in shown(app)
        await pilot.press("end")
        await until(pilot, lambda: " lag-corrected" in shown(app).replace("The lag", ""), "it")
        await pilot.press("l")
        await until(pilot, lambda: "curve is off" in shown(app), "without it again")


async def test_every_key_has_its_line_in_the_help_and_a_line_does_what_it_says() -> None:
    replay = replay_of()
    async with paused(replay) as (app, pilot):
        assert isinstance(app.screen, ReplayScreen)
        shown_keys = {key for key, _ in keys_of(app.screen)}
        assert {"space", "←", "→", "[", "]", "+", "-", ",", ".", "q", "?"} <= shown_keys
        await pilot.press("question_mark")
        await until(pilot, lambda: isinstance(app.screen, KeysScreen), "the keys")
        await pilot.press("down", "down", "enter")
        await until(pilot, lambda: isinstance(app.screen, ReplayScreen), "the replay")
        await until(pilot, lambda: replay.now_s == replay.boards.begin_s + 1.0, "a second on")


async def test_without_a_reference_it_says_so_and_the_smallest_window_still_moves() -> None:
    replay = replay_of(against=None)
    async with paused(replay, (50, 14)) as (app, pilot):
        assert "A larger window shows the curve." in shown(app)
        await pilot.press("end")
        await until(pilot, lambda: "from charge to" in shown(app), "the last word")
        await pilot.resize_terminal(80, 24)
        await pilot.press("home", "pagedown")
        await until(pilot, lambda: "No reference" in shown(app), "the words")


async def test_an_empty_recording_is_shown_as_such(tmp_path: Path) -> None:
    file = tmp_path / "nothing.csv"
    file.write_text("time_s,bean_c,mark\n")
    replay = replay_of(file, against=None)
    app = RoastsideApp(replay=replay)
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: "not one reading came" in shown(app), "the last word")
        await pilot.press("space", "full_stop", "comma", "right_square_bracket", "end", "home")
        await pilot.press("q")
    assert app.return_code == 0


async def test_leaving_ends_the_command_and_follows_no_further() -> None:
    replay = replay_of()
    app = RoastsideApp(replay=replay)
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: "playing" in shown(app), "the replay")
        await pilot.press("q")
    assert app.return_code == 0
