"""Homes to keep a book in: recordings and references as roastside leaves them."""

from __future__ import annotations

import shutil
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from roastside.core.reference import Reference
from roastside.live.opening import load_reference
from roastside.record.lineage import Lineage
from roastside.record.reference_file import write_reference_file

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
HOUSE = FIXTURES / "house-espresso-v3.csv"
GOOD = FIXTURES / "house-good-repeat-1.csv"

HEADER = {
    "title": "House espresso, batch 12",
    "coffee": "House espresso",
    "started_at": "2026-03-04T07:28:09+01:00",
    "charge_weight_g": "1500",
    "reference": "House espresso v3",
}


def home_of(folder: Path, *fixtures: Path) -> Path:
    """A home with these roast files as recordings."""
    for name in ("recordings", "references"):
        (folder / name).mkdir(parents=True)
    for fixture in fixtures:
        shutil.copy(fixture, folder / "recordings" / fixture.name)
    return folder


def roast_text(header: Mapping[str, str] = HEADER, crack_s: float = 480.0) -> str:
    """A whole roast, drawn simply: charge at 30 s, turning point at 90 s, drop at 630 s.

    It falls from 200 °C to 80 °C, then rises by 0.2 °C/s to 188 °C: 150 °C at 440 s.
    """
    rows = [f"# {key}: {value}" for key, value in header.items()]
    rows.append("time_s,bean_c,air_c,mark,value,note")
    for k in range(1300):
        at_s = 0.5 * k
        fell = 200.0 - 2.0 * min(max(at_s - 30.0, 0.0), 60.0)
        bean_c = fell + 0.2 * min(max(at_s - 90.0, 0.0), 540.0)
        rows.append(f"{at_s:.2f},{bean_c:.2f},210.00,,,")
    for name, at_s in (("charge", 30.0), ("first_crack", 30.0 + crack_s), ("drop", 630.0)):
        rows.append(f"{at_s:.2f},,,{name},,")
    return "\n".join(rows) + "\n"


def write_roast(home: Path, name: str = "a.csv", text: str | None = None, **header: str) -> Path:
    """A recording in a home, with these lines of the header."""
    path = home / "recordings" / name
    path.write_text(roast_text({**HEADER, **header}) if text is None else text, "utf-8")
    return path


def write_version(
    home: Path, version: int = 3, above_c: float = 0.0, corridor_c: float | None = None, **said: str
) -> Path:
    """A version of the house reference in a home; its curve that of the fixture, or higher."""
    found = load_reference(HOUSE)
    bean_c = [c + above_c for c in found.bean_c]
    corridor = None if corridor_c is None else [corridor_c] * len(bean_c)
    curve = replace(found, bean_c=bean_c, corridor_c=corridor)
    return write_reference(home, curve, version, **said)


def write_reference(home: Path, curve: Reference, version: int, **said: str) -> Path:
    """A version with this curve."""
    known = {"name": "House espresso", "coffee": "House espresso", "author": "Ines",
             "made_at": "2026-03-02T09:00:00+01:00"}  # fmt: skip
    lineage = Lineage(version=version, **{**known, **said})  # type: ignore[arg-type]
    path = home / "references" / f"{lineage.title}.csv"
    write_reference_file(path, replace(curve, title=lineage.title), lineage.header())
    return path
