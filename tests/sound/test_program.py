"""A program gets what it is given, within its time, and leaves nothing behind."""

from __future__ import annotations

import os
import sys
import threading
from pathlib import Path

import pytest

from roastside.sound.program import Ending, Outcome, Program, argument

if sys.platform == "win32":
    pytest.skip("the stand-in programs start by their first line", allow_module_level=True)

from tests.sound.stand_ins import FAIL, HANG, StandIn, holds, wait_until_free

PLENTY_S = 30.0


def is_gone(pid: int) -> bool:
    """Neither running nor a zombie."""
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return True
    return False


def test_what_a_program_is_given_comes_as_it_is(tmp_path: Path) -> None:
    program = StandIn(tmp_path, "listens")
    odd = "$(touch made); `x` \"y\" 'z' %PATH% *"
    given = Program([str(program.path), odd, "°C"], PLENTY_S, odd.encode(), {"ROASTSIDE_X": odd})
    assert given.run() == Outcome(Ending.DONE, 0)
    [run] = program.runs
    assert (run.arguments, run.stdin) == ([odd, "°C"], odd)
    assert run.environment["ROASTSIDE_X"] == odd
    assert not (tmp_path / "made").exists() and not Path("made").exists()


def test_a_program_that_does_not_read_is_not_waited_for(tmp_path: Path) -> None:
    program = StandIn(tmp_path, "deaf", reads=False)
    assert Program([str(program.path)], PLENTY_S, bytes(10_000_000)).run().ending is Ending.DONE


def test_a_failure_brings_the_last_words(tmp_path: Path) -> None:
    program = StandIn(tmp_path, "fails", FAIL)
    outcome = Program([str(program.path)], PLENTY_S).run()
    assert outcome == Outcome(Ending.FAILED, 1, "first line\nno such voice")
    assert outcome.trouble("it") == "it failed (exit code 1): no such voice"


def test_a_flood_of_words_and_control_characters_is_cut_and_cleaned(tmp_path: Path) -> None:
    flood = "sys.stdout.write('o' * 1_000_000); sys.exit('e' * 1_000_000 + '\\n\\x1b[2Jlast\\x07')"
    outcome = Program([str(StandIn(tmp_path, "floods", flood).path)], PLENTY_S).run()
    assert outcome.complaint.endswith("\nlast")
    assert len(outcome.complaint) < 2000


@pytest.mark.parametrize(
    ("make", "because"),
    [
        (lambda path: None, "No such file or directory"),
        (lambda path: path.write_text("no program"), "Permission denied"),
    ],
)
def test_what_can_not_be_started_says_why(tmp_path: Path, make, because: str) -> None:  # type: ignore[no-untyped-def]
    make(tmp_path / "gone")
    outcome = Program([str(tmp_path / "gone")], PLENTY_S).run()
    assert outcome == Outcome(Ending.NOT_STARTED, complaint=because)
    assert outcome.trouble("gone") == f"gone cannot be started: {because}"


def test_an_argument_that_no_system_takes_is_an_outcome_too() -> None:
    assert Program([sys.executable, "a\0b"], PLENTY_S).run().ending is Ending.NOT_STARTED


def test_at_its_time_limit_a_program_ends_with_all_it_started(tmp_path: Path) -> None:
    lock = tmp_path / "lock"
    program = StandIn(tmp_path, "hangs", f"{holds(lock)}\n{HANG}")
    running = Program([str(program.path)], limit_s=2.0)
    outcome = running.run()
    assert outcome.ending is Ending.TIMED_OUT
    assert outcome.trouble("hangs") == "hangs did not come to an end and was ended"
    [run] = program.runs
    assert is_gone(run.pid)
    wait_until_free(lock)


def test_what_a_program_leaves_running_ends_with_it(tmp_path: Path) -> None:
    lock = tmp_path / "lock"
    program = StandIn(tmp_path, "leaves", holds(lock))
    assert Program([str(program.path)], PLENTY_S).run().ending is Ending.DONE
    wait_until_free(lock)


def test_stop_ends_a_program_at_once(tmp_path: Path) -> None:
    stand_in = StandIn(tmp_path, "hangs", HANG)
    program = Program([str(stand_in.path)], PLENTY_S)
    outcomes: list[Outcome] = []
    thread = threading.Thread(target=lambda: outcomes.append(program.run()))
    thread.start()
    [run] = stand_in.wait_for_runs(1)
    program.stop()
    thread.join(PLENTY_S)
    assert [outcome.ending for outcome in outcomes] == [Ending.STOPPED]
    assert outcomes[0].trouble("hangs") == ""
    assert is_gone(run.pid)


def test_a_program_stopped_before_its_start_never_starts(tmp_path: Path) -> None:
    stand_in = StandIn(tmp_path, "listens")
    program = Program([str(stand_in.path)], PLENTY_S)
    program.stop()
    assert program.run() == Outcome(Ending.STOPPED)
    assert stand_in.runs == []


def test_an_error_it_tells_while_calling_itself_done_is_a_trouble() -> None:
    complaint = "ALSA lib pcm.c: Unknown PCM default\nerror: No such file or directory"
    told = Outcome(Ending.DONE, 0, complaint).trouble("espeak-ng")
    assert told == "espeak-ng failed: No such file or directory"
    assert Outcome(Ending.DONE, 0, "ALSA lib pcm.c: underrun occurred").trouble("espeak-ng") == ""


@pytest.mark.parametrize(
    ("text", "safe"),
    [
        ("more heat: 3.2 °C low", "more heat: 3.2 °C low"),
        ("--help", "help"),
        (" - -x", "x"),
        ("@/etc/passwd", "etc/passwd"),
        ("two\nlines\x1b[31m\x00", "two lines"),
        ("\u202edrop", "drop"),
        ("...", ""),
        ("x" * 1000, "x" * 499 + "…"),
    ],
)
def test_an_argument_begins_with_a_letter_or_digit_and_is_one_clean_line(
    text: str, safe: str
) -> None:
    assert argument(text) == safe


def test_what_a_program_signs_says_more_than_the_numbers_that_follow() -> None:
    """The last words of aplay 1.2.8 on PulseAudio 16.1 without any device."""
    complaint = (
        "aplay: set_params:1416: Unable to install hw params:\n"
        "ACCESS: RW_INTERLEAVED\nTICK_TIME: [0 0]"
    )
    assert Outcome(Ending.FAILED, 1, complaint).trouble("aplay") == (
        "aplay failed (exit code 1): set_params:1416: Unable to install hw params"
    )
