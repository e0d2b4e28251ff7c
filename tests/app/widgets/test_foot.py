"""The foot tells as many keys as fit, and always the way back."""

from __future__ import annotations

from typing import ClassVar

import pytest
from textual.app import App, ComposeResult
from textual.binding import BindingType
from textual.widgets import Button
from textual.widgets._footer import FooterKey

from roastside.app.widgets.foot import Foot


class Shop(App[None]):
    BINDINGS: ClassVar[list[BindingType]] = [
        ("o", "nothing", "Open"),
        ("p", "other", "Pick several of them"),
        ("s", "third", "Sort"),
        ("question_mark", "keys", "Keys"),
        ("escape", "back", "Back"),
    ]

    def compose(self) -> ComposeResult:
        yield Button("one", id="one")
        yield Button("two", id="two")
        yield Foot()


def told(app: App[None]) -> list[str]:
    return [key.description for key in app.query(FooterKey)]


@pytest.mark.parametrize(
    ("width", "keys"),
    [
        (80, ["Open", "Pick several of them", "Sort", "Keys", "Back"]),
        (50, ["Open", "Pick several of them", "Keys", "Back"]),
        (25, ["Open", "Keys", "Back"]),
        (12, ["Keys", "Back"]),
    ],
)
async def test_what_does_not_fit_gives_way(width: int, keys: list[str]) -> None:
    app = Shop()
    async with app.run_test(size=(width, 20)) as pilot:
        await pilot.pause()
        assert told(app) == keys


async def test_a_wider_terminal_tells_more_and_the_focus_changes_nothing() -> None:
    app = Shop()
    async with app.run_test(size=(25, 20)) as pilot:
        await pilot.pause()
        assert told(app) == ["Open", "Keys", "Back"]
        await pilot.resize_terminal(80, 20)
        await pilot.pause()
        await pilot.pause()
        assert len(told(app)) == 5
        keys = list(app.query(FooterKey))
        await pilot.press("tab")
        await pilot.pause()
        assert list(app.query(FooterKey)) == keys
