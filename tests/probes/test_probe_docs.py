"""What docs/probes.md says of text lines is so."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from roastside.probes.merged import MergedSource
from roastside.probes.opening import device_source
from roastside.probes.source import RoastClock
from roastside.probes.wire.spec import parse_poll, parse_wire

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "probes.md").read_text(encoding="utf-8")
ROWS = re.findall(r"^\| `([^`]+)` \| ([0-9.]*) ?\| ([0-9.]*) ?\|", PAGE, flags=re.MULTILINE)
COMMANDS = re.findall(r"^roastside listen .*$", PAGE, flags=re.MULTILINE)


@pytest.mark.parametrize(("line", "bean", "air"), ROWS, ids=[row[0] for row in ROWS])
def test_a_line_of_the_table_is_read_as_it_says(line: str, bean: str, air: str) -> None:
    [reading] = parse_wire("lines").feed(f"{line}\n".encode(), 0.0)
    assert reading.bean_c == pytest.approx(float(bean), abs=0.001)
    assert reading.air_c == (pytest.approx(float(air), abs=0.001) if air else None)


@pytest.mark.parametrize("command", COMMANDS)
def test_a_command_of_the_page_can_be_given(command: str) -> None:
    words = shlex.split(command)
    ports = [words[place + 1] for place, word in enumerate(words) if word == "--port"]
    wires = [words[place + 1] for place, word in enumerate(words) if word == "--wire"]
    wires = wires or ["lines"] * len(ports)
    clock = RoastClock()
    sources = [
        device_source(port, wire, 9600, clock, bean_needed=len(ports) == 1)
        for port, wire in zip(ports, wires, strict=True)
    ]
    assert "bean" in MergedSource(sources, clock).channels


def test_the_page_has_what_is_tested_here() -> None:
    assert len(ROWS) >= 9
    assert len(COMMANDS) >= 7
    [poll] = [found for found in map(_poll_of, COMMANDS) if found is not None]
    assert poll == b"READ\r\n"


def _poll_of(command: str) -> bytes | None:
    words = shlex.split(command)
    poll = parse_poll(words[words.index("--wire") + 1]) if "--wire" in words else None
    return None if poll is None else poll.text
