"""A rebuild or a restore that dies before its first change on the disk, its second, and so on.

`python -m tests.book.dying ACT HOME INTO [FILE]` copies the home anew for each, into the folders
`INTO/1`, `INTO/2`..., until one lives to the end. A process that dies neither tidies up nor
flushes, as with kill -9 or a power cut.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from roastside.book.rebuild import rebuild
from roastside.book.restore import restore

AT = datetime(2026, 3, 20, 18, 30)

_CHANGES = frozenset({"os.link", "os.mkdir", "os.remove", "os.rename", "os.rmdir", "os.utime"})
_DIED = 9


def deaths(act: str, home: Path, into: Path, file: Path | None = None) -> list[Path]:
    """The homes left by every death, in order; the last is of the one that lived."""
    command = [sys.executable, "-m", "tests.book.dying", act, str(home), str(into)]
    done = subprocess.run(
        command + ([str(file)] if file else []), capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return sorted(into.iterdir(), key=lambda path: int(path.name))


def _die_before(change: int, home: Path) -> None:
    """See to it that this process ends when it is about to change the home's folders again."""
    changes = 0

    def see(event: str, given: tuple[object, ...]) -> None:
        nonlocal changes
        opened = event == "open" and isinstance(given[2], int) and given[2] & os.O_CREAT
        if (event in _CHANGES or opened) and str(home) in str(given[0]):
            changes += 1
            if changes == change:
                os._exit(_DIED)

    sys.addaudithook(see)


def _every(act: Callable[[Path], object], home: Path, into: Path) -> None:
    change, status = 0, _DIED
    while status == _DIED:
        change += 1
        copy = into / str(change)
        shutil.copytree(home, copy)
        child = os.fork()
        if child == 0:
            _die_before(change, copy)
            act(copy)
            os._exit(0)
        status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    if status:
        raise SystemExit(f"death {change} was no death: {status}")


if __name__ == "__main__":
    chosen, home, into, *file = sys.argv[1:]
    if chosen == "rebuild":
        _every(lambda copy: rebuild(copy, AT), Path(home), Path(into))
    else:
        _every(lambda copy: restore(copy, Path(file[0]), AT, replace=True), Path(home), Path(into))
