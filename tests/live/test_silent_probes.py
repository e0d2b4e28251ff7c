"""A probe that says nothing, or nothing that makes sense: told once, waited for, ended cleanly.

Silence takes three seconds to be noticed, so the three cases pass them together.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from roastside.probes.virtual_line import virtual_line
from tests.live.running import Done, Running, beans_c, named, posix_only

pytestmark = posix_only

GARBAGE = (
    b"\x1b[31mhello\x1b[0m there\r\n\x1b]0;owned\x07\xff\xfe\x00\x9b2J nothing here\n"
    b"error: no thermocouple on channel four\n"
)


@pytest.fixture(scope="module")
def ends(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, Done]]:
    """How each of them ended after it had told of the silence."""
    home = tmp_path_factory.mktemp("silent")
    empty = home / "empty.csv"
    empty.touch()
    with (
        virtual_line() as silent_line,
        virtual_line() as odd_line,
        Running("listen", "--port", silent_line.port, "--events", home=home) as silent,
        Running("listen", "--port", odd_line.port, "--events", home=home) as odd,
        Running("follow", empty, "--events", home=home) as follow,
    ):
        odd.wait_for(lambda: odd.err, "a word on the odd line", lambda: odd_line.write(GARBAGE))
        silent.wait_for(lambda: silent.err, "a word on the silent line")
        follow.wait_for(lambda: follow.err, "a word on the empty file")
        empty.write_text("time_s,bean_c\n0.00,200.00\n")
        follow.wait_for_beans([200.0])
        yield {"silent": silent.end(), "odd": odd.end(), "empty": follow.end()}


@pytest.mark.parametrize("which", ["silent", "odd"])
def test_it_is_told_once_in_one_sentence_and_ends_with_exit_0(
    which: str, ends: dict[str, Done]
) -> None:
    done = ends[which]
    assert done.code == 0
    assert "check the probe" in done.sentence
    (alert,) = named(done.events, "alert")
    assert (alert["alert"], alert["family"]) == ("probe_silent", "probe")
    assert (alert["priority"], alert["state"]) == ("high", "raised")
    assert done.events[-1]["event"] == "summary"
    assert done.events[-1]["readings"] == 0


def test_a_line_that_makes_no_sense_is_shown_to_the_person(ends: dict[str, Done]) -> None:
    assert "no thermocouple on channel four" in ends["odd"].err
    assert "check the probe and its plug)" in ends["odd"].err
    assert "says" not in ends["silent"].err


def test_no_control_character_of_the_device_reaches_a_stream(ends: dict[str, Done]) -> None:
    said = ends["odd"].out + ends["odd"].err
    assert [c for c in said if c != "\n" and not c.isprintable()] == []


def test_an_empty_file_is_waited_for(ends: dict[str, Done]) -> None:
    done = ends["empty"]
    assert (done.code, beans_c(done.events)) == (0, [200.0])
    assert done.events[-1]["readings"] == 1
