"""The things of a home exchanged for those of a backup: all of them, even if it is cut short.

What is to be moved is written down before anything is. Whoever opens the book next finds that and
moves the rest, so that a power cut in between never leaves halves of two homes.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path

from roastside.core.errors import BookError
from roastside.core.text import clean
from roastside.record import disk

UNDER_WAY = "restore under way.json"
"""What is to be moved, in the home it concerns; it goes when everything has been."""

_PART = f"{UNDER_WAY}.part"
_NEW = ".restoring-"


@dataclass(frozen=True, slots=True)
class Exchange:
    """Names in a home: the folder of the `new` things, what is `old`, and the folder it goes to.

    `aside` is empty where there is nothing old.
    """

    new: str
    old: tuple[str, ...]
    aside: str


def folder_for_new(home: Path) -> Path:
    """An empty folder in `home` to put the new things into, after `finish`. Raises OSError."""
    folder = home / f"{_NEW}{os.getpid()}"
    folder.mkdir()
    return folder


def exchange(home: Path, new: Path, old: Iterable[str], at: datetime) -> Path | None:
    """Move old things aside, and what is in the folder `new` in; where the old ones are.

    Raises OSError; then everything is as it was. Where it cannot be so, `finish` ends it later.
    """
    names = tuple(old)
    aside = _new_folder(home, at) if names else None
    planned = Exchange(new.name, names, aside.name if aside is not None else "")
    moved: list[tuple[Path, Path]] = []
    try:
        _write_down(home, planned)
        _move(home, planned, moved)
    except OSError:
        _undo(moved)
        if aside is not None:
            aside.rmdir()
        _over(home, planned)
        raise
    _over(home, planned)
    return aside


def finish(home: Path) -> Path | None:
    """End an exchange that was cut short, and take away what others left before they began.

    To be called by the one writer only. Returns the folder of the old things, `home` itself if
    there were none, and None if nothing was cut short. Raises BookError, a sentence, if it cannot
    be ended.
    """
    planned = _planned(home)
    if planned is not None:
        try:
            _move(home, planned, [])
            _over(home, planned)
        except OSError as error:
            raise BookError(
                f"restoring {clean(str(home))} was cut short and cannot be ended "
                f"({disk.reason(error)}); see to it that you may write there, and try again"
            ) from error
    (home / _PART).unlink(missing_ok=True)
    for left in home.glob(f"{_NEW}*"):
        shutil.rmtree(left, ignore_errors=True)
    return home / planned.aside if planned is not None else None


def is_under_way(home: Path) -> bool:
    """Whether the things of this home are being exchanged, or that was cut short."""
    return (home / UNDER_WAY).exists()


def _move(home: Path, planned: Exchange, moved: list[tuple[Path, Path]]) -> None:
    """Move what is not moved yet; `moved` gets each thing's old and new place."""
    aside = home / planned.aside
    aside.mkdir(exist_ok=True)
    for name in planned.old:
        if (home / name).exists() and not (aside / name).exists():
            moved.append((home / name, (home / name).rename(aside / name)))
    new = home / planned.new
    for path in sorted(new.iterdir()) if new.is_dir() else ():
        _put(path, home / path.name, moved)
    disk.sync_folder(home)


def _put(path: Path, target: Path, moved: list[tuple[Path, Path]]) -> None:
    """Move a thing to a place; where a roast was recorded meanwhile, beside that."""
    with contextlib.suppress(OSError):
        target.rmdir()  # folders are made at every start
    if path.is_dir() and target.is_dir():
        for child in sorted(path.iterdir()):
            _put(child, target / child.name, moved)
        return
    while target.exists():
        target = target.with_stem(f"{target.stem} (restored)")
    moved.append((path, path.rename(target)))


def _undo(moved: list[tuple[Path, Path]]) -> None:
    for path, now in reversed(moved):
        now.rename(path)


def _write_down(home: Path, planned: Exchange) -> None:
    part = home / _PART
    with part.open("wb") as stream:
        stream.write(json.dumps(asdict(planned), ensure_ascii=True, indent=1).encode())
        stream.flush()
        disk.sync(stream.fileno())
    part.replace(home / UNDER_WAY)
    disk.sync_folder(home)


def _over(home: Path, planned: Exchange) -> None:
    for name in (UNDER_WAY, _PART):
        (home / name).unlink(missing_ok=True)
    disk.sync_folder(home)
    shutil.rmtree(home / planned.new, ignore_errors=True)


def _planned(home: Path) -> Exchange | None:
    """What is written down. Raises BookError if that is not what was written."""
    try:
        told = json.loads((home / UNDER_WAY).read_bytes())
        planned = Exchange(str(told["new"]), tuple(map(str, told["old"])), str(told["aside"]))
        names = (planned.new, planned.aside, *planned.old)
        if any(name != Path(name).name for name in names) or not planned.new.startswith(_NEW):
            raise ValueError("it names things that are not of this folder")
    except FileNotFoundError:
        return None
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise BookError(
            f"restoring {clean(str(home))} was cut short, and {UNDER_WAY} there, which tells how "
            "to end it, cannot be read; restore the backup again into another folder"
        ) from error
    return planned


def _new_folder(home: Path, at: datetime) -> Path:
    folder = disk.free_name(home, f"before restore {at:%Y-%m-%d %H.%M.%S}")
    folder.mkdir()
    return folder
