"""Everything of a home in one verified file: `roastside backup FILE`."""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
import sqlite3
import time
import zipfile
from collections.abc import Iterator
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import IO

from roastside.book.archive import MANIFEST, SETTINGS_NAME, Entry, is_safe, manifest_text, verified
from roastside.book.connection import trouble
from roastside.book.intake import RECORDINGS, REFERENCES
from roastside.book.rebuild import counted
from roastside.book.store import BOOK_NAME, check
from roastside.core.errors import BookError, RecordError, StoreError
from roastside.core.text import clean
from roastside.record import disk

_PIECE_BYTES = 1024 * 1024

_WAL_VERSIONS = slice(18, 20)
"""Where an SQLite file tells that its changes go to a file beside it (sqlite.org/fileformat2)."""


def back_up(home: Path, file: Path, at: datetime) -> dict[str, Entry]:
    """Store book, recordings, references and settings of `home` in a new zip file.

    The book is copied as of one moment; others may go on writing it, and so may a roast that is
    being recorded. What was written is read again and compared before the file gets its name; what
    is in it is returned. Raises BookError or RecordError, a sentence, if there is nothing to store,
    something cannot be read, or the file is there already; StoreError if it cannot be stored.
    """
    name = clean(str(file))
    if file.exists():
        what = "is a folder; name a new file in it" if file.is_dir() else "is there already"
        raise BookError(f"{name} {what}; a backup never overwrites, choose another name")
    if not file.parent.is_dir():
        raise BookError(f"{name} cannot be stored, as its folder is not there; make the folder")
    part = file.with_name(f".{file.name}.{os.getpid()}.part")
    try:
        with part.open("xb") as stream:
            entries = _write(home, stream, at, part)
            stream.flush()
            disk.sync(stream.fileno())
        _verify(part, name)
        disk.move_to_free_name(part, file)
        disk.sync_folder(file.parent)
    except FileExistsError as error:
        raise BookError(f"{name} is there already; a backup never overwrites") from error
    except OSError as error:
        raise StoreError(
            f"The backup {name} cannot be stored ({disk.reason(error)}); free some space or choose "
            "another disk"
        ) from error
    finally:
        with contextlib.suppress(OSError):
            part.unlink()
    return entries


def back_up_and_tell(home: Path, file: Path) -> int:
    """The command: back up, and say what was stored; the exit code. Raises as `back_up`."""
    entries = back_up(home, file, datetime.now())
    told = [
        counted(sum(entry.startswith(f"{folder}/") for entry in entries), one)
        for folder, one in ((RECORDINGS, "recording"), (REFERENCES, "reference file"))
    ]
    told += [
        what
        for entry, what in ((BOOK_NAME, "the book"), (SETTINGS_NAME, "the settings"))
        if entry in entries
    ]
    size_mb = file.stat().st_size / 1e6
    print(f"Stored and verified: {', '.join(told)}; {size_mb:.1f} MB in {clean(str(file))}.")
    return 0


def book_bytes(path: Path) -> bytes:
    """The book as of this moment, in one piece, while others may go on writing it.

    Raises BookError if it is no book, or is damaged.
    """
    try:
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=rw", uri=True)) as book:
            check(book, path)
            with closing(sqlite3.connect(":memory:")) as copy:
                book.backup(copy)
                content = bytearray(copy.serialize())
    except sqlite3.Error as error:
        raise trouble(path, error) from error
    content[_WAL_VERSIONS] = b"\x01\x01"
    return bytes(content)


def _write(home: Path, stream: IO[bytes], at: datetime, part: Path) -> dict[str, Entry]:
    entries: dict[str, Entry] = {}
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content, size_bytes, modified_ns in _found(home, part):
            with content:
                digest, written = _store(archive, _info(name, modified_ns), content, size_bytes)
            entries[name] = Entry(digest, written, modified_ns)
        if not entries:
            raise BookError(f"there is nothing to back up in {clean(str(home))}")
        made_at = at.astimezone().isoformat(timespec="seconds")
        archive.writestr(MANIFEST, manifest_text(made_at, entries), zipfile.ZIP_DEFLATED)
    return entries


def _store(
    archive: zipfile.ZipFile, info: zipfile.ZipInfo, content: IO[bytes], most: int
) -> tuple[str, int]:
    """Store at most so many bytes; their sha256 and how many they were."""
    digest, written = hashlib.sha256(), 0
    info.compress_type, info.file_size = zipfile.ZIP_DEFLATED, most
    with archive.open(info, "w") as stored:
        while piece := content.read(min(_PIECE_BYTES, most - written)):
            stored.write(piece)
            digest.update(piece)
            written += len(piece)
    return digest.hexdigest(), written


def _found(home: Path, part: Path) -> Iterator[tuple[str, IO[bytes], int, int]]:
    """Name, content, size and time of the last change (ns) of all there is to store.

    The book comes first: so a roast that ends meanwhile may be missing from the book, which then
    takes it in, but never from the recordings that the book tells of. `part` is the backup itself,
    which may be written among them.
    """
    if (home / BOOK_NAME).exists():
        modified_ns, book = (home / BOOK_NAME).stat().st_mtime_ns, book_bytes(home / BOOK_NAME)
        yield BOOK_NAME, io.BytesIO(book), len(book), modified_ns
    files = [home / SETTINGS_NAME]
    for folder in (REFERENCES, RECORDINGS):
        files += sorted((home / folder).rglob("*"))
    for path in files:
        name = path.relative_to(home).as_posix()
        try:
            if not path.is_file() or _is_unfinished(path) or path.samefile(part):
                continue
            content = path.open("rb")
        except FileNotFoundError:
            continue  # taken away while we looked
        except OSError as error:
            raise RecordError(
                f"{clean(str(path))} cannot be read ({disk.reason(error)}), so nothing was backed "
                "up; see to it that you may read it"
            ) from error
        if not is_safe(name) or not _is_text(name):
            content.close()
            raise RecordError(
                f"{clean(str(path))} has a name that other systems do not take, so nothing was "
                "backed up; give it another name"
            )
        # What is recorded meanwhile is of the next backup.
        about = os.fstat(content.fileno())
        yield name, content, about.st_size, about.st_mtime_ns


def _is_unfinished(path: Path) -> bool:
    return path.name.startswith(".") and path.suffix == ".part"


def _is_text(name: str) -> bool:
    try:
        name.encode()
    except UnicodeEncodeError:
        return False
    return True


def _info(name: str, modified_ns: int) -> zipfile.ZipInfo:
    """A zip file knows the years from 1980 to 2107."""
    when = time.localtime(modified_ns / 1e9)[:6]
    return zipfile.ZipInfo(name, min(max(when, (1980, 1, 1, 0, 0, 0)), (2107, 12, 31, 0, 0, 0)))


def _verify(part: Path, name: str) -> None:
    try:
        verified(part)
    except BookError as error:
        raise StoreError(
            f"The backup {name} was not stored as it was written ({error}); use another disk"
        ) from error
