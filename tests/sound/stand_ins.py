"""Small programs that stand in for speech programs, commands and the like, run for real."""

from __future__ import annotations

import fcntl
import json
import stat
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

PATIENCE_S = 30.0

_SCRIPT = """#!{python} -IS
import fcntl, json, os, subprocess, sys, time
from pathlib import Path

entry = {{
    "arguments": sys.argv[1:],
    "stdin": sys.stdin.buffer.read().decode() if {reads} else "",
    "environment": {{k: v for k, v in os.environ.items() if k.startswith("ROASTSIDE_")}},
    "pid": os.getpid(),
}}
with open({record!r}, "a") as record:
    record.write(json.dumps(entry) + "\\n")
{then}
"""

HANG = "time.sleep(600)"
FAIL = "sys.exit('first line\\nno such voice')"


@dataclass(frozen=True)
class Run:
    """One run of a stand-in: what it was given."""

    arguments: list[str]
    stdin: str
    environment: dict[str, str]
    pid: int


class StandIn:
    """A program that writes down each run and then does as it is told (Python)."""

    def __init__(self, folder: Path, name: str, then: str = "", reads: bool = True) -> None:
        self.path = folder / name
        self._record = folder / f"{name}.runs"
        self.path.write_text(
            _SCRIPT.format(python=sys.executable, record=str(self._record), then=then, reads=reads)
        )
        self.path.chmod(self.path.stat().st_mode | stat.S_IXUSR)

    @property
    def runs(self) -> list[Run]:
        """All runs so far."""
        if not self._record.exists():
            return []
        whole = self._record.read_text().rpartition("\n")[0]
        return [Run(**json.loads(line)) for line in whole.splitlines()]

    def wait_for_runs(self, count: int) -> list[Run]:
        """The runs, once there are so many."""
        until(lambda: len(self.runs) >= count, f"run {count} of {self.path.name}")
        return self.runs


def until(condition: Callable[[], bool], what: str) -> None:
    """Wait, with much patience, for what another thread or process does."""
    deadline = time.monotonic() + PATIENCE_S
    while not condition():
        assert time.monotonic() < deadline, f"{what} did not come"
        time.sleep(0.005)


def waits_for(gate: Path) -> str:
    """A program's doing: wait until there is a file of this name."""
    return f"while not os.path.exists({str(gate)!r}): time.sleep(0.005)"


def holds(lock: Path) -> str:
    """A program's doing: start another that holds a lock until it is ended."""
    child = (
        f"import fcntl, time; f = open({str(lock)!r}, 'w'); fcntl.flock(f, fcntl.LOCK_EX); "
        f"open({str(lock) + '.held'!r}, 'w').close(); time.sleep(600)"
    )
    return (
        f"subprocess.Popen([sys.executable, '-IS', '-c', {child!r}])\n"
        f"while not os.path.exists({str(lock) + '.held'!r}): time.sleep(0.005)"
    )


def wait_until_free(lock: Path) -> None:
    """Wait until whoever held this lock has ended."""
    with lock.open("w") as file:

        def free() -> bool:
            try:
                fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                return False
            return True

        until(free, f"the end of the holder of {lock.name}")
