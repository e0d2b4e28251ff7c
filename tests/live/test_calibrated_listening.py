"""`listen` with a calibration kept: readings corrected, the recording tells how."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from roastside.core.readings import Reading
from roastside.live.settings import Settings, save_settings
from roastside.probes.calibrate import Calibration
from roastside.probes.calibrated import raw_items
from roastside.probes.virtual_line import virtual_line
from roastside.record.reader import read_roast_file
from tests.live.running import Running, named, posix_only, run

pytestmark = posix_only

BEAN = Calibration(1.02, -0.5, date(2026, 3, 2), "Ines K.")
BEANS_C = [150.0, 150.25, 150.5, 151.0]


def test_readings_are_corrected_and_the_raw_ones_are_in_the_recording(tmp_path: Path) -> None:
    save_settings(Settings(calibration={"bean_c": BEAN}), tmp_path / "settings.toml")
    file = tmp_path / "roast.csv"
    with (
        virtual_line() as line,
        Running(
            "listen", "--port", line.port, "--record", file, "--events", home=tmp_path
        ) as listening,
    ):
        waking = b"90.00,230.00\n"
        listening.wait_for(
            lambda: named(listening.events, "sample"),
            "a sample",
            meanwhile=lambda: line.write(waking),
        )
        for bean_c in BEANS_C:
            line.write(f"{bean_c:.2f},230.00\n".encode())
        heard = lambda: [e["bean_c"] for e in named(listening.events, "sample")]  # noqa: E731
        listening.wait_for(lambda: 153.52 in heard(), "the last reading")
        done = listening.end()
    assert done.code == 0
    # 1.02 × raw − 0.5
    assert [c for c in heard() if c != 91.3] == [152.5, 152.755, 153.01, 153.52]
    assert {event["air_c"] for event in named(done.events, "sample")} == {230.0}
    kept = read_roast_file(file)
    assert kept.header["calibration_bean_c"] == (
        "gain=1.02 offset_c=-0.5 date=2026-03-02 person=Ines K."
    )
    recorded = [item for item in kept.items() if isinstance(item, Reading)]
    assert [item.bean_c for item in recorded] == heard()
    raw = [item.bean_c for item in raw_items(kept) if isinstance(item, Reading)]
    assert [c for c in raw if c != 90.0] == BEANS_C


def test_a_calibration_that_cannot_be_read_is_told_before_the_roast(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text("[calibration.bean_c]\ngain = 'one'\n")
    done = run("listen", "--port", "socket://127.0.0.1:1", "--events", home=tmp_path)
    assert (done.code, done.out) == (2, "")
    assert "settings.toml: calibration.bean_c needs numbers" in done.sentence
