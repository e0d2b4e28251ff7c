"""pandas is heavy, and nothing on the way to a live roast waits for it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.live.running import HOUSE, environment

RUN = "from roastside.cli import main; main"
IMPORTED = "print('pandas' in sys.modules, file=sys.stderr)"


@pytest.mark.parametrize(
    ("code", "loaded"),
    [
        ("import roastside.cli", False),
        ("import roastside.app.app, roastside.book.intake", False),
        (f"{RUN}(['replay', {str(HOUSE)!r}, '--events'])", False),
        (
            f"{RUN}(['report', {str(HOUSE)!r}, '-o', 'a.html'])",
            False,
        ),
        ("from roastside.desk.figures import figures_frame; import pandas", True),
    ],
    ids=["start", "app", "replay", "report", "analysis"],
)
def test_pandas_is_loaded_for_analysis_only(code: str, loaded: bool, tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", f"import sys; {code}; {IMPORTED}"],
        cwd=tmp_path,
        env=environment(tmp_path),
        capture_output=True,
        encoding="utf-8",
        timeout=60,
    )
    assert done.returncode == 0, done.stderr
    assert done.stderr.splitlines()[-1] == str(loaded)
