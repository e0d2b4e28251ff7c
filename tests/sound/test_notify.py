"""A notification shows what it is given, and a missing desktop is told once."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

import pytest

from roastside.sound.notify import NO_DESKTOP, Notices, Notifier, find_notifier

if sys.platform == "win32":
    pytest.skip("the stand-in programs start by their first line", allow_module_level=True)

from tests.sound.stand_ins import FAIL, PATIENCE_S, StandIn, waits_for

TITLE = "--icon <b>fire & smoke</b>"
BODY = '-x "quoted" $(x)\\n\x1b[31m{item}\n\x00'
TAME_TITLE = "icon b fire smoke /b"
TAME_BODY = 'x "quoted" $(x) n{item}'


def shown_by(name: str, tmp_path: Path, urgent: bool = False) -> StandIn:
    """The stand-in for this program after it showed the title and the body."""
    stand_in = StandIn(tmp_path, name)
    told = list[str]()
    notices = Notices(Notifier(name, str(stand_in.path)), told.append)
    notices.show(TITLE, BODY, urgent)
    assert notices.wait(PATIENCE_S) and notices.stop(PATIENCE_S)
    assert told == []
    return stand_in


def test_notify_send_gets_plain_text_after_its_options(tmp_path: Path) -> None:
    [run] = shown_by("notify-send", tmp_path, urgent=True).runs
    assert run.arguments == [
        *("--app-name", "roastside", "--urgency", "critical"),
        *("--", TAME_TITLE, TAME_BODY),
    ]


def test_osascript_gets_text_as_arguments_of_a_fixed_script(tmp_path: Path) -> None:
    [run] = shown_by("osascript", tmp_path).runs
    *script, title, body = run.arguments
    assert (title, body) == (TAME_TITLE, TAME_BODY)
    assert script[::2] == ["-e", "-e", "-e"]
    assert not any("fire" in line or "quoted" in line for line in script)


def test_powershell_gets_text_in_its_environment_and_none_in_its_script(tmp_path: Path) -> None:
    [run] = shown_by("powershell", tmp_path).runs
    assert run.environment["ROASTSIDE_TITLE"] == TAME_TITLE
    assert run.environment["ROASTSIDE_BODY"] == TAME_BODY
    assert not any("fire" in each or "quoted" in each for each in run.arguments)


def test_a_flood_leaves_the_urgent_and_a_few_of_the_newest(tmp_path: Path) -> None:
    gate = tmp_path / "gate"
    stand_in = StandIn(tmp_path, "notify-send", waits_for(gate))
    notices = Notices(Notifier("notify-send", str(stand_in.path)), list[str]().append)
    notices.show("first", "x")
    stand_in.wait_for_runs(1)
    notices.show("fire", "x", urgent=True)
    for count in range(10_000):
        notices.show(f"notice {count}", "x")
    gate.touch()
    assert notices.wait(PATIENCE_S)
    titles = [run.arguments[-2] for run in stand_in.runs]
    assert titles == ["first", "fire", "notice 9997", "notice 9998", "notice 9999"]


def test_without_a_program_for_it_that_is_told_once_and_nothing_is_shown(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    told = list[str]()
    notices = Notices(find_notifier(), told.append)
    notices.show("roastside", "drop now", urgent=True)
    assert notices.wait(PATIENCE_S) and notices.stop(PATIENCE_S)
    assert told == [NO_DESKTOP]


def test_a_desktop_that_fails_is_told_once(tmp_path: Path) -> None:
    stand_in = StandIn(tmp_path, "notify-send", FAIL)
    told = list[str]()
    notices = Notices(Notifier("notify-send", str(stand_in.path)), told.append)
    for _ in range(3):
        notices.show("roastside", "drop now")
    assert notices.wait(PATIENCE_S)
    assert told == ["no desktop notifications: notify-send failed (exit code 1): no such voice"]


@pytest.mark.skipif(
    shutil.which("notify-send") is None, reason="notify-send is not installed on this machine"
)
def test_the_real_notify_send_without_a_desktop_is_told_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("DBUS_SESSION_BUS_ADDRESS", f"unix:path={tmp_path}/no-bus")
    told = list[str]()
    notices = Notices(find_notifier("linux"), told.append)
    for _ in range(2):
        notices.show(TITLE, BODY)
    assert notices.wait(PATIENCE_S)
    [once] = told
    assert once.startswith("no desktop notifications: notify-send failed (exit code 1)")


@pytest.mark.parametrize(
    ("platform", "name"),
    [("linux", "notify-send"), ("darwin", "osascript"), ("win32", "powershell")],
)
def test_each_platform_has_its_own_program(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, platform: str, name: str
) -> None:
    for each in ("notify-send", "osascript", "powershell"):
        StandIn(tmp_path, each)
    monkeypatch.setenv("PATH", str(tmp_path))
    found = find_notifier(platform)
    assert found is not None and found.name == name
