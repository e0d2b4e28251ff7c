"""A command of the person's own runs on alerts, and whatever it does, the roast goes on."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from roastside.core.errors import UsageError
from roastside.core.events import Alert, AlertState, Family, Priority
from roastside.sound.outside import Outside, check_command

if sys.platform == "win32":
    pytest.skip("the stand-in programs start by their first line", allow_module_level=True)

from tests.sound.stand_ins import FAIL, HANG, PATIENCE_S, StandIn, waits_for


def alert(
    message: str = "more heat: 3.2 °C low",
    priority: Priority = Priority.MEDIUM,
    elapsed_s: float | None = 370.04,
) -> Alert:
    return Alert(
        411.24, elapsed_s, "below_reference", Family.DEVIATION, priority, AlertState.RAISED, message
    )


def test_a_command_learns_of_the_alert_by_arguments_and_environment(tmp_path: Path) -> None:
    command = StandIn(tmp_path, "tell-me")
    told = list[str]()
    outside = Outside([str(command.path), "--say", "{priority}: {message}", "{state}"], told.append)
    outside.take(alert())
    assert outside.wait(PATIENCE_S)
    [run] = command.runs
    assert run.arguments == ["--say", "medium: more heat: 3.2 °C low", "raised"]
    expected = {
        "ROASTSIDE_ALERT": "below_reference",
        "ROASTSIDE_FAMILY": "deviation",
        "ROASTSIDE_PRIORITY": "medium",
        "ROASTSIDE_STATE": "raised",
        "ROASTSIDE_MESSAGE": "more heat: 3.2 °C low",
        "ROASTSIDE_TIME_S": "411.2",
        "ROASTSIDE_ELAPSED_S": "370.0",
    }
    assert run.environment.items() >= expected.items()
    assert run.stdin == ""
    assert told == []
    assert outside.stop(PATIENCE_S)


def test_before_charge_no_time_has_elapsed(tmp_path: Path) -> None:
    command = StandIn(tmp_path, "tell-me")
    outside = Outside([str(command.path), "at={elapsed_s}"], list[str]().append)
    outside.take(alert(elapsed_s=None))
    assert outside.wait(PATIENCE_S)
    assert command.runs[0].arguments == ["at="]
    assert command.runs[0].environment["ROASTSIDE_ELAPSED_S"] == ""


def test_a_message_is_never_an_option_a_file_or_a_shell_s_business(tmp_path: Path) -> None:
    command = StandIn(tmp_path, "tell-me")
    outside = Outside([str(command.path), "{message}", "{{message}}"], list[str]().append)
    for message in ("--delete $(touch made); `x`\x1b[2J\n{alert}", "@/etc/passwd"):
        outside.take(alert(message))
    assert outside.wait(PATIENCE_S)
    first, second = command.runs
    tame = "delete $(touch made); `x` {alert}"
    assert first.arguments == [tame, f"{{{tame}}}"]
    assert first.environment["ROASTSIDE_MESSAGE"] == tame
    assert second.arguments[0] == "etc/passwd"
    assert not Path("made").exists()


def test_one_command_runs_at_a_time_the_gravest_alert_first(tmp_path: Path) -> None:
    gate = tmp_path / "gate"
    command = StandIn(tmp_path, "slow", waits_for(gate))
    outside = Outside([str(command.path), "{message}"], list[str]().append)
    outside.take(alert("first", Priority.LOW))
    command.wait_for_runs(1)
    for priority in Priority:
        outside.take(alert(priority, priority))
    assert len(command.runs) == 1
    gate.touch()
    assert outside.wait(PATIENCE_S)
    order = [run.arguments[0] for run in command.runs]
    assert order == ["first", "critical", "high", "medium", "low"]


def test_of_ten_thousand_alerts_a_few_run_the_critical_one_among_them(tmp_path: Path) -> None:
    gate = tmp_path / "gate"
    command = StandIn(tmp_path, "slow", waits_for(gate))
    told = list[str]()
    outside = Outside([str(command.path), "{message}"], told.append)
    outside.take(alert("first"))
    command.wait_for_runs(1)
    outside.take(alert("fire", Priority.CRITICAL))
    for count in range(10_000):
        outside.take(alert(f"alert {count}"))
    gate.touch()
    assert outside.wait(PATIENCE_S)
    order = [run.arguments[0] for run in command.runs]
    assert order[:2] == ["first", "fire"]
    assert order[2:] == [f"alert {count}" for count in range(9985, 10_000)]
    assert told == ["alerts come faster than slow ends; it is not run for each of them"]


def test_a_command_that_never_returns_is_ended_and_told_once(tmp_path: Path) -> None:
    command = StandIn(tmp_path, "hangs", HANG)
    told = list[str]()
    outside = Outside([str(command.path)], told.append, limit_s=3.0)
    outside.take(alert())
    outside.take(alert())
    assert outside.wait(PATIENCE_S)
    assert len(command.runs) == 2
    assert told == [
        "the alert command: hangs did not come to an end and was ended; "
        "mend the command in the settings"
    ]


def test_a_command_that_fails_or_vanishes_is_told_once_each(tmp_path: Path) -> None:
    command = StandIn(tmp_path, "fails", FAIL)
    told = list[str]()
    outside = Outside([str(command.path)], told.append)
    for _ in range(2):
        outside.take(alert())
    assert outside.wait(PATIENCE_S)
    command.path.unlink()
    for _ in range(2):
        outside.take(alert())
    assert outside.wait(PATIENCE_S)
    assert told == [
        f"the alert command: {trouble}; mend the command in the settings"
        for trouble in (
            "fails failed (exit code 1): no such voice",
            "fails cannot be started: No such file or directory",
        )
    ]


def test_stop_ends_a_command_that_runs(tmp_path: Path) -> None:
    command = StandIn(tmp_path, "hangs", HANG)
    told = list[str]()
    outside = Outside([str(command.path)], told.append)
    outside.take(alert())
    command.wait_for_runs(1)
    assert outside.stop(PATIENCE_S)
    assert told == []


@pytest.mark.parametrize(
    ("command", "what_to_do"),
    [
        ([], 'write a list such as ["send-it", "{message}"]'),
        (["", "x"], 'write a list such as ["send-it", "{message}"]'),
        ([sys.executable, "a\0b"], "take it out"),
        (["no-such-program-here"], "give its full path"),
        (["send-it.BAT", "{message}"], "name a program instead"),
        ([r"C:\tools\send it.cmd"], "name a program instead"),
        ([sys.executable, "{mesage}"], "it can be told {alert}, {family}, {priority}, {state}"),
    ],
)
def test_a_command_that_can_not_be_run_is_refused_in_one_sentence(
    command: list[str], what_to_do: str
) -> None:
    with pytest.raises(UsageError) as refused:
        check_command(command)
    assert what_to_do in str(refused.value)
    assert "\n" not in str(refused.value)


def test_braces_that_are_no_placeholder_are_left_alone(tmp_path: Path) -> None:
    command = StandIn(tmp_path, "tell-me")
    outside = Outside([str(command.path), '{"text": "{message}", "n": {}}'], list[str]().append)
    outside.take(alert("drop now"))
    assert outside.wait(PATIENCE_S)
    assert command.runs[0].arguments == ['{"text": "drop now", "n": {}}']
