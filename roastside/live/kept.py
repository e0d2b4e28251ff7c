"""The recordings kept on this machine, newest first."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from roastside.live.home import home

_SHOWN = 50


@dataclass(frozen=True, slots=True)
class Kept:
    """A recording: where it is and when it was last written."""

    path: Path
    written_at: datetime


def kept_recordings() -> list[Kept]:
    """The newest recordings, not opened; empty if there are none or they cannot be listed."""
    return kept_in(home() / "recordings", _SHOWN)


def kept_in(folder: Path, most: int) -> list[Kept]:
    """The same of any folder, not more than `most`."""
    try:
        found = [kept for path in folder.glob("*.csv") if (kept := _kept(path))]
    except OSError:
        return []
    return sorted(found, key=lambda kept: (kept.written_at, kept.path), reverse=True)[:most]


def _kept(path: Path) -> Kept | None:
    try:
        return Kept(path, datetime.fromtimestamp(path.stat().st_mtime))
    except OSError:
        return None
