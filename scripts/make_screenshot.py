"""Makes the pictures of the README, by running the app on a fixture and asking it for them.

python scripts/make_screenshot.py
"""

from __future__ import annotations

import asyncio
import os
import tempfile
from pathlib import Path

# Read by Textual as it is imported: a picture has all colours, wherever it is made.
os.environ["TEXTUAL_COLOR_SYSTEM"] = "truecolor"
os.environ["COLORTERM"] = "truecolor"
os.environ.pop("NO_COLOR", None)

from roastside.app.app import RoastsideApp
from roastside.core.plan import RoastPlan
from roastside.core.session import Session
from roastside.live.home import cautions_were_read, note_cautions_read
from roastside.live.opening import load_reference
from roastside.live.roast import LiveRoast
from roastside.probes.follow import FollowSource

ROOT = Path(__file__).resolve().parent.parent
SHOWN_UNTIL_S = 500.0
"""Stream time of the moment in the picture: in browning, behind, first crack to come."""


async def picture(recording: Path, size: tuple[int, int], out: Path) -> None:
    """Show the roast as it stood at the end of `recording`, and save the screen as SVG."""
    reference = load_reference(ROOT / "fixtures" / "house-espresso-v3.csv")
    roast = LiveRoast(FollowSource(recording), Session(RoastPlan(), reference))
    roast.open()
    app = RoastsideApp(roast)
    async with app.run_test(size=size) as pilot:
        while roast.board.view().last is None:
            await pilot.pause(0.05)
        await pilot.pause(0.5)
        roast.source.name = "House espresso, batch 14"
        await pilot.pause(0.7)
        out.write_text(app.export_screenshot(title="roastside"), encoding="utf-8")
        roast.end()


def main() -> None:
    """Cut a fixture off in mid-roast and take its pictures."""
    if not cautions_were_read():
        note_cautions_read()
    rows = (ROOT / "fixtures" / "house-slow-browning.csv").read_text(encoding="utf-8").splitlines()
    table = next(n for n, row in enumerate(rows) if row.startswith("time_s"))
    kept = rows[: table + 1] + [
        row for row in rows[table + 1 :] if float(row.split(",")[0]) <= SHOWN_UNTIL_S
    ]
    with tempfile.TemporaryDirectory() as folder:
        recording = Path(folder) / "House espresso, batch 14"
        recording.write_text("\n".join(kept) + "\n", encoding="utf-8")
        for name, size in (("roast-80x24", (80, 24)), ("roast-160x45", (160, 45))):
            asyncio.run(picture(recording, size, ROOT / "docs" / f"{name}.svg"))


if __name__ == "__main__":
    main()
