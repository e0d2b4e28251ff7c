"""What is in a backup: a zip file, a manifest in it, and how both are verified."""

from __future__ import annotations

import hashlib
import json
import os
import re
import sqlite3
import zipfile
import zlib
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from roastside.book.intake import RECORDINGS, REFERENCES
from roastside.book.store import BOOK_NAME, LATEST_NS, check
from roastside.core.errors import BookError
from roastside.core.text import clean

MANIFEST = "manifest.json"
SETTINGS_NAME = "settings.toml"

FORMAT = 1
"""Of the manifest; a later roastside that stores otherwise counts on."""

_LARGEST_MANIFEST_BYTES = 64 * 1024 * 1024
_PIECE_BYTES = 1024 * 1024

_UNSAFE = re.compile(r"[/\\\x00-\x1f]|^\.{0,2}$")
"""What no name of a file below a folder can hold, or be."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A file in a backup: sha256 (hexadecimal), size, and when it was last changed."""

    sha256: str
    size_bytes: int
    modified_ns: int


def manifest_text(made_at: str, entries: dict[str, Entry]) -> str:
    """The manifest of a backup made at an ISO 8601 time."""
    files = {
        name: {"sha256": e.sha256, "size_bytes": e.size_bytes, "modified_ns": e.modified_ns}
        for name, e in entries.items()
    }
    return json.dumps(
        {"roastside_backup": FORMAT, "made_at": made_at, "files": files},
        ensure_ascii=False,
        indent=1,
    )


_COMPRESSED = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)

_SPOILED = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    NotImplementedError,
    RuntimeError,
    UnicodeError,
    OverflowError,
)

_NO_LIST = (KeyError, TypeError, ValueError, AttributeError, RecursionError, OverflowError)


def verified(path: Path) -> dict[str, Entry]:
    """Read a whole backup and compare it with its manifest; the files in it by name.

    Raises BookError, a sentence, if anything is damaged, missing, too much or unsafe, or the book
    in it is of a newer roastside.
    """
    name = clean(str(path))
    try:
        with zipfile.ZipFile(path) as archive:
            if any(each.compress_type not in _COMPRESSED for each in archive.infolist()):
                raise _damaged(name, "it is packed in a way that no backup is")
            entries = _manifest(archive, name)
            _compare_names(archive, entries, name)
            if not entries:
                raise BookError(f"{name} is an empty backup; choose another")
            for file, entry in entries.items():
                if _sha256(archive, file) != entry.sha256:
                    raise _damaged(name, f"{clean(file)} is not as it was stored")
            if BOOK_NAME in entries:
                check_book(archive.read(BOOK_NAME), path)
    except FileNotFoundError as error:
        raise BookError(f"{name} is not there; check its name and folder") from error
    except _SPOILED as error:
        raise _damaged(name, clean(str(error)) or "it ends too early") from error
    except OSError as error:
        raise BookError(
            f"{name} cannot be read ({error.strerror or error}); check the disk"
        ) from error
    return entries


def check_book(content: bytes, path: Path) -> None:
    """Have SQLite look through the bytes of a book. Raises BookError if it is not whole."""
    if not content:
        raise _damaged(clean(str(path)), "the book in it is empty")
    with closing(sqlite3.connect(":memory:")) as book:
        try:
            book.deserialize(content)
            problems = [str(row[0]) for row in book.execute("PRAGMA integrity_check(3)")]
            problems = [] if problems == ["ok"] else problems
            nowhere = book.execute("PRAGMA foreign_key_check").fetchall()
            problems += [f"a row of {row[0]} points nowhere" for row in nowhere]
            check(book, path)
        except sqlite3.Error as error:
            problems = [str(error)]
    if problems:
        raise _damaged(clean(str(path)), f"the book in it: {clean('; '.join(problems[:3]))}")


def _manifest(archive: zipfile.ZipFile, name: str) -> dict[str, Entry]:
    try:
        if archive.getinfo(MANIFEST).file_size > _LARGEST_MANIFEST_BYTES:
            raise ValueError
        said = json.loads(archive.read(MANIFEST))
        version, files = said["roastside_backup"], said["files"]
        entries = {
            str(file): Entry(str(e["sha256"]), int(e["size_bytes"]), int(e["modified_ns"]))
            for file, e in files.items()
        }
    except _NO_LIST as error:
        raise BookError(
            f"{name} is no backup of roastside, or its list of files is damaged; choose another"
        ) from error
    if version != FORMAT:
        raise BookError(f"{name} was made by a newer roastside; update roastside to restore it")
    return entries


def _compare_names(archive: zipfile.ZipFile, entries: dict[str, Entry], name: str) -> None:
    for file in entries:
        if not is_safe(file):
            raise BookError(
                f"{name} holds a file that belongs nowhere here ({clean(file)}), so nothing of it "
                "is used; choose another backup"
            )
    there = archive.namelist()
    if len(there) != len(set(there)) or set(there) != {*entries, MANIFEST}:
        raise _damaged(name, "it holds other files than its list tells")
    for file, entry in entries.items():
        if not 0 <= entry.modified_ns <= LATEST_NS:
            raise _damaged(name, f"{clean(file)} was changed at a time that there is not")
        if archive.getinfo(file).file_size != entry.size_bytes:
            raise _damaged(name, f"{clean(file)} is not as large as its list tells")


def is_safe(file: str) -> bool:
    """Whether a name in a backup can only mean a file that belongs into a home."""
    if file in (BOOK_NAME, SETTINGS_NAME):
        return True
    folder, *parts = file.split("/")
    known = folder in (RECORDINGS, REFERENCES) and bool(parts)
    # On Windows a colon parts a drive from a name.
    return known and not any(_UNSAFE.search(p) or (os.name == "nt" and ":" in p) for p in parts)


def _sha256(archive: zipfile.ZipFile, file: str) -> str:
    digest = hashlib.sha256()
    with archive.open(file) as stream:
        while piece := stream.read(_PIECE_BYTES):
            digest.update(piece)
    return digest.hexdigest()


def _damaged(name: str, why: str) -> BookError:
    return BookError(f"{name} is damaged ({why}), so nothing of it is used; choose another backup")
