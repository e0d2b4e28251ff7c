"""Forms: a tick shows by its sign, and what is proposed is taken by going on."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from textual import events
from textual.app import App, ComposeResult
from textual.pilot import Pilot
from textual.suggester import SuggestFromList

from roastside.app.widgets.field import Field
from roastside.app.widgets.tick_box import TickBox


class Form(App[None]):
    def compose(self) -> ComposeResult:
        names = ["Quarry Road natural", "Fenmoor washed"]
        yield Field(suggester=SuggestFromList(names, case_sensitive=False), id="coffee")
        yield Field("1500 g", id="weight")
        yield TickBox("all of it", id="all")
        yield Field("sweet", max_length=20, select_on_focus=False, id="note")


@asynccontextmanager
async def form() -> AsyncIterator[tuple[Form, Pilot[None]]]:
    app = Form()
    async with app.run_test(size=(60, 12)) as pilot:
        yield app, pilot


def shown(app: Form) -> str:
    return "\n".join(
        "".join(segment.text for segment in strip)
        for strip in app.screen._compositor.render_strips()
    )


async def test_a_proposal_that_is_shown_is_taken_by_tab_and_by_enter() -> None:
    for key in ("tab", "enter"):
        async with form() as (app, pilot):
            coffee = app.query_one("#coffee", Field)
            coffee.focus()
            await pilot.press("q", "u")
            await pilot.pause(0.2)
            await pilot.press(key)
            assert coffee.value == "Quarry Road natural"


async def test_without_a_proposal_tab_goes_on_and_leaves_what_was_typed() -> None:
    async with form() as (app, pilot):
        coffee = app.query_one("#coffee", Field)
        coffee.focus()
        await pilot.press("x", "y", "tab")
        assert coffee.value == "xy"
        assert app.focused is app.query_one("#weight")


async def test_what_is_typed_into_a_filled_field_takes_its_place() -> None:
    async with form() as (app, pilot):
        app.query_one("#coffee").focus()
        await pilot.press("tab", "9", "0", "0")
        assert app.query_one("#weight", Field).value == "900"


async def test_a_tick_shows_by_its_sign() -> None:
    async with form() as (app, pilot):
        assert "[ ] all of it" in shown(app)
        app.query_one("#all").focus()
        await pilot.press("space")
        assert "[✓] all of it" in shown(app)
        await pilot.press("space")
        assert "[ ] all of it" in shown(app)


async def test_what_is_too_long_is_cut_and_said() -> None:
    async with form() as (app, pilot):
        note = app.query_one("#note", Field)
        note.focus()
        note.post_message(events.Paste(", long\r\n finish, a touch of plum"))
        await pilot.pause()
        assert note.value == "sweet, long finish, "
        (told,) = app._notifications
        assert told.message == "Only 20 characters fit here; the rest is left out."
        await pilot.press("backspace", "backspace", "!")
        assert note.value == "sweet, long finish!"
        note.post_message(events.Paste("\n\n"))
        await pilot.pause()
        assert note.value == "sweet, long finish!"


async def test_that_a_field_is_full_is_said_once() -> None:
    async with form() as (app, pilot):
        note = app.query_one("#note", Field)
        note.focus()
        app.copy_to_clipboard(",\nlong")
        await pilot.press("ctrl+v", *"abcdefghijklmnopq")
        assert note.value == "sweet, longabcdefghi"
        assert len(app._notifications) == 1
