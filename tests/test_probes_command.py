"""`roastside probes`: what was found at each port, the choice kept, and listening with it."""

from __future__ import annotations

import errno
import os
import random
import re
import select
import shlex
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import serial

from roastside.live import probe_search
from roastside.live.settings import ProbeSettings, load_settings
from roastside.probes.port import open_port
from roastside.probes.ports import PortFound
from roastside.probes.virtual_line import VirtualLine, virtual_line
from tests.live.running import (
    FIXTURES,
    HOUSE,
    PATIENCE_S,
    Done,
    Running,
    environment,
    named,
    posix_only,
    run_here,
)
from tests.probes.test_finder import sending, thermometer

pytestmark = posix_only

QUICK = ("--seconds", "0.05")


@pytest.fixture
def line() -> Iterator[VirtualLine]:
    with virtual_line() as made:
        yield made


@pytest.fixture
def probes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> Callable[..., Done]:
    def run(*arguments: object) -> Done:
        return run_here(
            "probes", *arguments, home=tmp_path / "home", patch=monkeypatch, streams=capfd
        )

    return run


def settings_of(home: Path) -> ProbeSettings:
    return load_settings(home / "home" / "settings.toml").probe


def plug_in(monkeypatch: pytest.MonkeyPatch, *ports: PortFound) -> None:
    """What this machine's own list of ports would say; pseudo-terminals are in no such list."""
    monkeypatch.setattr(probe_search, "serial_ports", lambda: list(ports))


def test_a_thermometer_is_shown_and_its_command_can_be_run(
    line: VirtualLine, probes: Callable[..., Done], tmp_path: Path
) -> None:
    with sending(line, thermometer):
        done = probes("--port", line.port)
        assert done.code == 0
        assert r"24.25,23.5\r\n" in done.out
        assert "bean 24.25 °C = 75.65 °F   air 23.5 °C = 74.3 °F" in done.out
        command = done.out.strip().splitlines()[-1].strip()
        _, *words = shlex.split(command)
        with Running(*words, "--events", home=tmp_path) as roast:
            roast.wait_for(lambda: roast.beans_c(), "a reading")
            assert set(roast.beans_c()) <= {24.0, 24.25}
            assert roast.end().code == 0
    assert not (tmp_path / "home").exists()  # nobody wished to keep it


def test_what_is_saved_is_what_listen_listens_to(
    line: VirtualLine, probes: Callable[..., Done], tmp_path: Path
) -> None:
    with sending(line, lambda n: b"%d,%.2f,23.5\n" % (500 * n, 24.0 + n % 2 / 4)):
        done = probes("--port", line.port, "--save")
        assert done.code == 0
        assert settings_of(tmp_path) == ProbeSettings(line.port, 9600, "lines:bean=2,air=3")
        with Running("listen", "--events", home=tmp_path / "home") as roast:
            roast.wait_for(lambda: roast.beans_c(), "a reading")
            assert set(roast.beans_c()) <= {24.0, 24.25}
            assert roast.end().code == 0


def test_every_port_is_listened_to_and_has_its_own_sentence(
    line: VirtualLine,
    probes: Callable[..., Done],
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    noise = random.Random(26)
    with virtual_line() as silent, virtual_line() as held, virtual_line() as noisy:
        plug_in(
            monkeypatch,
            PortFound(silent.port, "USB adapter"),
            PortFound(held.port, ""),
            PortFound("/dev/no-such-port", ""),
            PortFound(noisy.port, ""),
            PortFound(line.port, "USB thermometer"),
        )
        holder = open_port(held.port, 9600)
        with sending(line, thermometer), sending(noisy, lambda _: noise.randbytes(80)):
            done = probes("--seconds", "0.3", "--save")
        holder.close()
    assert done.code == 0
    reports = done.out.strip().split("\n\n/dev/")
    for port, words in zip(
        reports,
        ("USB adapter\n    Nothing came", "held by another", "no port", "Bytes come", "Readings"),
        strict=True,
    ):
        assert words in port
    assert settings_of(tmp_path).port == line.port


def test_where_no_port_gives_readings_it_ends_with_exit_3_and_keeps_nothing(
    line: VirtualLine, probes: Callable[..., Done], tmp_path: Path
) -> None:
    done = probes("--port", line.port, "--save", *QUICK)
    assert done.code == 3
    assert "Nothing came" in done.out
    assert done.err.splitlines()[-1].startswith("roastside: no port gave readings")
    assert not (tmp_path / "home").exists()


def test_without_any_port_one_sentence_says_what_to_look_at(
    probes: Callable[..., Done], monkeypatch: pytest.MonkeyPatch
) -> None:
    plug_in(monkeypatch)
    done = probes()
    assert (done.code, done.out) == (3, "")
    assert "no serial port is here" in done.sentence
    assert "manual" in done.sentence


def test_a_port_one_may_not_open_names_the_group(
    probes: Callable[..., Done], monkeypatch: pytest.MonkeyPatch
) -> None:
    # Tests may run as root, who may open everything: the system's refusal is given by hand.
    def refuse(port: serial.Serial) -> None:
        raise serial.SerialException(errno.EACCES, f"could not open port {port.port}")

    monkeypatch.setattr(serial.Serial, "open", refuse)
    monkeypatch.setattr(Path, "group", lambda _: "dialout")
    done = probes("--port", "/dev/ttyUSB0")
    assert done.code == 3
    assert "sudo usermod -aG dialout $USER" in done.out.replace("\n    ", " ")


def test_a_choice_that_cannot_be_kept_ends_with_exit_4(
    line: VirtualLine,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
) -> None:
    in_the_way = tmp_path / "file"
    in_the_way.touch()
    with sending(line, thermometer):
        done = run_here(
            *("probes", "--port", line.port, "--save"),
            home=in_the_way,
            patch=monkeypatch,
            streams=capfd,
        )
    assert done.code == 4
    assert str(in_the_way) in done.err.splitlines()[-1]


@pytest.mark.parametrize(("answer", "kept"), [(b"y\n", True), (b"\n", False), (b"", False)])
def test_on_a_terminal_a_person_is_asked(
    answer: bytes, kept: bool, line: VirtualLine, tmp_path: Path
) -> None:
    person, terminal = os.openpty()
    try:
        with sending(line, thermometer):
            process = subprocess.Popen(
                [sys.executable, "-m", "roastside", "probes", "--port", line.port],
                stdin=terminal,
                stdout=subprocess.DEVNULL,
                stderr=terminal,
                env=environment(tmp_path / "home"),
            )
            said = _read_until(person, b"[y/N]")
            os.write(person, answer or b"\x04")
            assert process.wait(PATIENCE_S) == 0
    finally:
        os.close(person)
        os.close(terminal)
    assert f"Keep {line.port}" in said.decode()
    assert (tmp_path / "home" / "settings.toml").exists() is kept


def _read_until(person: int, words: bytes) -> bytes:
    said = b""
    deadline = time.monotonic() + PATIENCE_S
    while words not in said:
        assert time.monotonic() < deadline, f"{words!r} was not said; {said!r}"
        if select.select([person], [], [], 0.1)[0]:
            said += os.read(person, 4096)
    return said


@pytest.mark.parametrize(
    ("arguments", "words"),
    [(("--seconds", "0"), "'0'"), (("--loud",), "--loud"), (("--seconds", "long"), "'long'")],
)
def test_bad_usage_ends_with_exit_2(
    arguments: tuple[str, ...], words: str, probes: Callable[..., Done]
) -> None:
    done = probes(*arguments)
    assert (done.code, done.out) == (2, "")
    assert words in done.sentence


def test_listen_without_a_port_says_how_to_find_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    done = run_here("listen", "--events", home=tmp_path, patch=monkeypatch, streams=capfd)
    assert (done.code, done.out) == (2, "")
    assert "roastside probes" in done.sentence


@pytest.mark.parametrize(
    ("given", "unit"), [((), "°F"), (("--unit", "C"), "°C")], ids=["kept", "given"]
)
def test_the_kept_unit_is_spoken_in_unless_another_is_given(
    given: tuple[str, ...],
    unit: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
) -> None:
    (tmp_path / "settings.toml").write_text('[display]\nunit = "F"\n')
    done = run_here(
        *("replay", FIXTURES / "house-too-hot.csv", "--reference", HOUSE, "--events", *given),
        home=tmp_path,
        patch=monkeypatch,
        streams=capfd,
    )
    said = " ".join(alert["message"] for alert in named(done.events, "alert"))
    assert set(re.findall("°[CF]", said)) == {unit}
