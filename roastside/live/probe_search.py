"""Which adapter is plugged in and how to read it: the command `probes`."""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass

from roastside.core.errors import ProbeError
from roastside.live.line import Line, keep_line
from roastside.live.probe_report import report
from roastside.live.settings import ProbeSettings
from roastside.probes.finder import LISTEN_S, Finder
from roastside.probes.finding import Finding
from roastside.probes.ports import PortFound, serial_ports
from roastside.probes.proposal import Proposal

NO_PORTS = (
    "no serial port is here: plug the adapter in and look whether the cable carries data, not only"
    " power; some adapters need a driver first, as their maker's manual tells"
)


@dataclass(frozen=True, slots=True)
class Wish:
    """What a person wants of the search. port: empty for all there are."""

    port: str = ""
    listen_s: float = LISTEN_S
    ask: bool = False
    save: bool = False


def search_probes(wish: Wish) -> int:
    """Listen to the ports, print what was found at each, keep one if wished; the exit code.

    Raises ProbeError if nothing can be listened to, UsageError or StoreError if the choice cannot
    be kept.
    """
    ports = _ports(wish.port)
    names = ", ".join(port.url for port in ports)
    _say(f"listening to {names}; this can take half a minute")
    found = []
    for port, each in zip(ports, find_all(ports, wish.listen_s, wish.ask), strict=True):
        _tell(report(port, each))
        found.append(each)
    proposals = [each.proposal for each in found if each.proposal is not None]
    if not proposals:
        raise ProbeError("no port gave readings; beside each stands what can be done about it")
    _keep_one(proposals, wish.save)
    return 0


def find_all(ports: Sequence[PortFound], listen_s: float, ask: bool) -> Iterator[Finding]:
    """What is found at each port, in their order; all are listened to at the same time."""
    over = threading.Event()
    with ThreadPoolExecutor(max_workers=max(1, len(ports))) as pool:
        try:
            yield from pool.map(
                lambda port: Finder(port.url, listen_s, ask, stopped=over.is_set).find(), ports
            )
        finally:
            over.set()


def line_of(proposal: Proposal) -> Line:
    """What to keep of a proposal. Where a line has no speed, any will do."""
    return Line(proposal.port, proposal.baud or ProbeSettings().baud, proposal.wire)


def _ports(wanted: str) -> list[PortFound]:
    here = serial_ports()
    if wanted:
        known = next((port for port in here if port.url == wanted), None)
        return [known or PortFound(wanted, "")]
    if not here:
        raise ProbeError(NO_PORTS)
    return here


def _keep_one(proposals: Sequence[Proposal], without_asking: bool) -> None:
    """Keep the first proposal, or the first a person says yes to."""
    for proposal in proposals:
        if without_asking or _wants(f"Keep {proposal.port} for `roastside listen`?"):
            _say(f"kept in {keep_line(line_of(proposal))}: `roastside listen` now finds it")
            return


def _wants(question: str) -> bool:
    """Ask on the terminal; no where nobody can be asked."""
    if sys.stdin is None or not sys.stdin.isatty():
        return False
    print(f"{question} [y/N] ", end="", file=sys.stderr, flush=True)
    return sys.stdin.readline().strip().casefold() in ("y", "yes")


def _tell(text: str) -> None:
    """A paragraph to stdout; when nobody takes it any more, the search goes on."""
    try:
        print(text, end="\n\n", flush=True)
    except BrokenPipeError:
        # Else Python, at its end, would try again and complain.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _say(words: str) -> None:
    with suppress(OSError):  # whoever read these words has gone
        print(f"roastside: {words}", file=sys.stderr, flush=True)
