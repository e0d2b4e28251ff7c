"""The recordings kept on this machine, newest first."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from roastside.live.home import BEGUN, home

_SHOWN = 50
_NAME_LENGTH = len("2026-03-02 06.41.07")


@dataclass(frozen=True, slots=True)
class Kept:
    """A recording: where it is and when it was begun, or else last written."""

    path: Path
    at: datetime


def kept_recordings() -> list[Kept]:
    """The newest recordings, not opened; empty if there are none or they cannot be listed."""
    return kept_in(home() / "recordings", _SHOWN)


def kept_in(folder: Path, most: int) -> list[Kept]:
    """The same of any folder, not more than `most`."""
    try:
        found = [kept for path in folder.glob("*.csv") if (kept := _kept(path))]
    except OSError:
        return []
    return sorted(found, key=lambda kept: (kept.at, kept.path), reverse=True)[:most]


def _kept(path: Path) -> Kept | None:
    try:
        written_at = datetime.fromtimestamp(path.stat().st_mtime, UTC)
    except OSError:
        return None
    return Kept(path, _begun(path) or written_at)


def _begun(path: Path) -> datetime | None:
    """When a recording named by its beginning was begun: a restore writes all files anew."""
    try:
        return datetime.strptime(path.stem[:_NAME_LENGTH], BEGUN).astimezone(UTC)
    except (ValueError, OverflowError, OSError):
        return None
