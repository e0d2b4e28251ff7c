"""`roastside calibrate` as a person and a script meet it, with a device on a real line."""

from __future__ import annotations

import itertools
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from roastside.live.settings import ProbeSettings, Settings, load_settings, save_settings
from roastside.probes.calibrate import Calibration, Point
from roastside.probes.virtual_line import VirtualLine, virtual_line
from tests.live.running import PATIENCE_S, Done, Running, environment, posix_only, run, run_here

pytestmark = posix_only

QUICK = ("--steady-for", 1)


@pytest.fixture
def line() -> Iterator[VirtualLine]:
    with virtual_line() as made:
        yield made


def through_baths(check: Running, line: VirtualLine, *baths: tuple[str, float, str]) -> Done:
    """Hold the probe in each bath from when it is asked for until it is measured."""
    for asked, reading_c, told in baths:
        check.wait_for(lambda asked=asked: asked in check.err, f"{asked!r}")  # type: ignore[misc]
        check.wait_for(
            lambda told=told: told in check.err,  # type: ignore[misc]
            f"{told!r}",
            meanwhile=lambda reading_c=reading_c: line.write(  # type: ignore[misc]
                f"{reading_c:.2f},230.00\n".encode()
            ),
        )
    return check.ended()


ICE = ("Ice bath. Fill", 0.6, "Ice bath: the probe reads 0.60 °C, 0.00 °C is right.")
BOILING = ("Boiling water. Here", 97.1, "Boiling water: the probe reads 97.10 °C")


def test_two_baths_give_gain_and_offset_and_it_is_kept(line: VirtualLine, tmp_path: Path) -> None:
    settings = ("--port", line.port, "--altitude", 500, "--person", "Ines K.")
    with Running("calibrate", *settings, *QUICK, home=tmp_path) as check:
        done = through_baths(check, line, ICE, BOILING)
    assert done.code == 0
    kept = load_settings(tmp_path / "settings.toml").calibration["bean_c"]
    # Water boils at 98.31 °C at 500 m: International Standard Atmosphere, IAPWS.
    assert kept.points == (Point(0.6, 0.0), Point(97.1, pytest.approx(98.31, abs=0.006)))
    assert kept.corrected(97.1) == pytest.approx(98.31, abs=0.006)
    assert (kept.person, kept.kind) == ("Ines K.", "gain and offset")
    assert done.out == f"calibration_bean_c: {kept}\n"
    assert "scald" in done.err
    assert "98.3 ± 0.6 °C (500 m above the sea, whatever the weather)" in done.err
    assert "from now on its readings are corrected" in done.err
    assert "may be off" not in done.err


def test_one_bath_gives_an_offset_and_a_faulty_probe_is_flagged(
    line: VirtualLine, tmp_path: Path
) -> None:
    before = Calibration(1.0, 0.25, date(2026, 1, 5), "Tomas")
    probe = ProbeSettings(port=line.port, type="J")
    save_settings(Settings(probe, calibration={"bean_c": before}), tmp_path / "settings.toml")
    with Running("calibrate", "--ice", "--person", "Ines", *QUICK, home=tmp_path) as check:
        done = through_baths(check, line, ("Ice bath. Fill", 3.1, "reads 3.10 °C"))
    assert done.code == 0
    kept = load_settings(tmp_path / "settings.toml")
    assert kept.calibration["bean_c"].offset_c == -3.1
    assert kept.probe == probe
    assert "3.1 °C too high; a new probe of type J, class 2, may be off by 2.5 °C" in done.err
    assert "instead of that of 2026-01-05 by Tomas" in done.err


def test_a_dry_run_keeps_nothing(line: VirtualLine, tmp_path: Path) -> None:
    at = ("--port", line.port, "--boiling", "--pressure", 950, "--channel", "air_c", "--dry-run")
    with Running("calibrate", *at, *QUICK, home=tmp_path) as check:
        asked = "Boiling water. Here water boils at 98.2 ± 0.1 °C (air pressure 950 hPa)"
        check.wait_for(lambda: asked in check.err, "the bath")
        check.wait_for(
            lambda: "the probe reads 97.50 °C, 98.18 °C is right" in check.err,
            "the point",
            meanwhile=lambda: line.write(b"err,97.50\n"),
        )
        done = check.ended()
    assert done.code == 0
    assert done.out.startswith("calibration_air_c: gain=1.0 offset_c=0.678 date=")
    assert list(tmp_path.iterdir()) == []


def test_the_wrong_unit_is_refused_and_nothing_is_kept(line: VirtualLine, tmp_path: Path) -> None:
    at = ("--port", line.port, "--ice", "--patience", 2)
    with Running("calibrate", *at, *QUICK, home=tmp_path) as check:
        done = through_baths(
            check, line, ("Ice bath. Fill", 32.5, "roastside: ice bath: the probe reads 32.5 °C")
        )
    assert (done.code, done.out) == (2, "")
    assert "most likely the device sends °F" in done.err.splitlines()[-1]
    assert list(tmp_path.iterdir()) == []


def test_a_probe_that_says_nothing_is_told_with_what_its_line_says(
    line: VirtualLine, tmp_path: Path
) -> None:
    at = ("--port", line.port, "--ice", "--patience", 1)
    with Running("calibrate", *at, *QUICK, home=tmp_path) as check:
        check.wait_for(
            lambda: "no temperature of bean_c came" in check.err,
            "the refusal",
            meanwhile=lambda: line.write(b"hello there\n"),
        )
        done = check.ended()
    assert (done.code, done.out) == (3, "")
    assert "the line says 'hello there'" in done.err.splitlines()[-1]


def test_at_a_terminal_it_asks_for_what_it_was_not_told(line: VirtualLine, tmp_path: Path) -> None:
    person_end, program_end = os.openpty()
    at = ["calibrate", "--port", line.port, "--boiling", *map(str, QUICK)]
    with subprocess.Popen(
        [sys.executable, "-m", "roastside", *at],
        stdin=program_end,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment(tmp_path),
        start_new_session=True,
    ) as check:
        os.close(program_end)
        os.write(person_end, b"1500 m\nInes\n")
        assert check.stdout is not None and check.stderr is not None
        heard = b""
        while b"Boiling water. Here water boils at 95.0" not in heard:
            piece = os.read(check.stderr.fileno(), 4096)
            assert piece, heard
            heard += piece
        os.set_blocking(check.stderr.fileno(), False)
        while b"the probe reads 95.30" not in heard:
            line.write(b"95.30,230.00\n")
            time.sleep(0.02)
            heard += check.stderr.read() or b""
            assert check.poll() is None or b"95.30" in heard, heard
        code = check.wait(PATIENCE_S)
    os.close(person_end)
    assert code == 0
    assert "How high above the sea" in heard.decode()
    assert "Your name" in heard.decode()
    kept = load_settings(tmp_path / "settings.toml").calibration["bean_c"]
    # Water boils at 94.98 °C at 1500 m: International Standard Atmosphere, IAPWS.
    assert kept.offset_c == pytest.approx(94.98 - 95.3, abs=0.006)
    assert kept.person == "Ines"


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--ice",), "no adapter is chosen yet"),
        (("--port", "/dev/none"), "(--altitude)"),
        (("--port", "/dev/none", "--altitude", 9000), "9000 m is no height"),
        (("--port", "/dev/none", "--altitude", "nan"), "no height"),
        (("--port", "/dev/none", "--pressure", 30), "30 hPa is no pressure"),
        (("--port", "/dev/none", "--pressure", 950, "--altitude", 3), "not allowed with"),
        (("--port", "/dev/none", "--ice", "--channel", "bean"), "'bean' is no channel"),
        (("--port", "/dev/none", "--ice", "--type", "Q"), "'Q' is no type"),
        (("--port", "/dev/none", "--ice", "--steady-for", 0), "from 1 to 7200"),
        (("--port", "/dev/none", "--ice", "--wire", "smoke"), "wire"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(
    arguments: tuple[object, ...],
    says: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
) -> None:
    done = run_here("calibrate", *arguments, home=tmp_path, patch=monkeypatch, streams=capfd)
    assert (done.code, done.out) == (2, "")
    assert says in done.sentence


def test_a_port_that_is_not_there_is_refused_as_by_listen(tmp_path: Path) -> None:
    done = run("calibrate", "--port", "/dev/no-such-port", "--ice", home=tmp_path)
    assert (done.code, done.out) == (3, "")
    assert "/dev/no-such-port" in done.sentence


def test_a_probe_that_is_never_steady_is_given_up(line: VirtualLine, tmp_path: Path) -> None:
    at = ("--port", line.port, "--ice", "--patience", 2)
    readings = itertools.cycle((2.0, 6.0))
    with Running("calibrate", *at, *QUICK, home=tmp_path) as check:
        check.wait_for(
            lambda: "was not steady within 2 s" in check.err,
            "the refusal",
            meanwhile=lambda: line.write(f"{next(readings)},230\n".encode()),
        )
        assert check.ended().code == 2


def test_a_line_that_is_lost_is_told_and_waited_for(line: VirtualLine, tmp_path: Path) -> None:
    at = ("--port", line.port, "--ice", "--steady-for", 60, "--patience", 4)
    with Running("calibrate", *at, home=tmp_path) as check:
        check.wait_for(lambda: "Ice bath. Fill" in check.err, "the bath")
        line.write(b"0.5,230\n" * 3)
        line.unplug()
        check.wait_for(lambda: "was lost; waiting for it" in check.err, "the loss")
        done = check.ended()
    assert (done.code, done.out) == (3, "")
    assert "no temperature of bean_c came" in done.err.splitlines()[-1]


def test_leaving_it_keeps_nothing(line: VirtualLine, tmp_path: Path) -> None:
    with Running("calibrate", "--port", line.port, "--ice", home=tmp_path) as check:
        check.wait_for(lambda: "Ice bath. Fill" in check.err, "the bath")
        done = check.end(signal.SIGINT)
    assert (done.code, done.out) == (0, "")
    assert done.err.splitlines()[-1] == "roastside: left; nothing was kept"
    assert list(tmp_path.iterdir()) == []
