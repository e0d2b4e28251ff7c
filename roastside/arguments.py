"""The words of the command line."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping
from typing import NoReturn

from roastside import __version__
from roastside.core.errors import UsageError
from roastside.core.plan import development_target

Command = Callable[[argparse.Namespace], int]

_DESCRIPTION = (
    "roastside stands beside a small coffee roaster: it listens to the probes, follows the roast "
    "against a reference, advises and records. It never controls a roaster, and it is no safety "
    "device: never leave a roast unattended."
)

_EXAMPLES = """\
examples:
  roastside                                     open the app
  roastside demo                                a practice roast, ten times as fast as life
  roastside listen --port /dev/ttyUSB0 --reference house.csv
  roastside replay batch-12.csv --speed 20
  roastside replay batch-12.csv --reference house.csv --speed max --events
  roastside follow growing.csv --events

exit codes: 0 done; 2 bad usage or input; 3 the probe cannot be reached;
4 the recording cannot be stored; 1 a bug, please tell us.
"""


class _Parser(argparse.ArgumentParser):
    """Says what is wrong in one sentence."""

    def error(self, message: str) -> NoReturn:
        raise UsageError(f"{message}; see {self.prog} --help")


def parser(run: Mapping[str, Command]) -> argparse.ArgumentParser:
    """The parser; `run` gives what to call for each command ('' for none)."""
    top = _Parser(
        prog="roastside",
        description=_DESCRIPTION,
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    top.add_argument("--version", action="version", version=f"roastside {__version__}")
    top.set_defaults(run=run[""])
    commands = top.add_subparsers(title="commands", metavar="COMMAND")

    replay = _command(commands, "replay", "play a finished roast file again")
    replay.add_argument("file", metavar="FILE", help="a roast file")
    replay.add_argument(
        "--speed",
        metavar="max|N",
        default=argparse.SUPPRESS,
        type=_speed,
        help="N times as fast as life, or max (the screen: 1; --events: max)",
    )
    replay.set_defaults(run=run["replay"])

    listen = _command(commands, "listen", "follow a roast from a probe on a serial line")
    listen.add_argument(
        "--port", required=True, metavar="URL", help="/dev/ttyUSB0, COM3, socket://host:port, ..."
    )
    listen.add_argument("--baud", type=_baud, default=9600, help="speed of the line (9600)")
    listen.add_argument(
        "--wire", default="lines", metavar="SPEC", help="what the bytes mean (lines)"
    )
    listen.add_argument("--record", metavar="FILE", help="where to keep the recording")
    listen.set_defaults(run=run["listen"])

    follow = _command(commands, "follow", "follow a roast file that is still growing")
    follow.add_argument("file", metavar="FILE", help="a roast file another program is writing")
    follow.set_defaults(run=run["follow"])

    demo = _command(commands, "demo", "a practice roast on a real serial line", reference=False)
    demo.set_defaults(run=run["demo"])
    return top


def _command(
    commands: argparse._SubParsersAction[_Parser], name: str, says: str, reference: bool = True
) -> argparse.ArgumentParser:
    command = commands.add_parser(name, help=says, description=f"{says}.", allow_abbrev=False)
    if reference:
        command.add_argument("--reference", metavar="FILE", help="a roast file to hold it against")
    command.add_argument(
        "--events", action="store_true", help="write events as JSON lines; needs no terminal"
    )
    command.add_argument(
        "--unit", choices=("C", "F"), default="C", help="degrees on the screen (C)"
    )
    plan = command.add_argument_group("targets")
    plan.add_argument("--tolerance", type=_positive, default=2.0, metavar="C", help="degrees (2.0)")
    plan.add_argument(
        "--tolerance-s", type=_positive, default=10.0, metavar="S", help="seconds (10)"
    )
    plan.add_argument(
        "--development",
        metavar="S|P%",
        type=development_target,
        default=(None, None),
        help="target for the time after first crack: seconds, or a share such as 20%%",
    )
    plan.add_argument("--yellowing", type=_temperature, default=150.0, metavar="C", help="(150)")
    plan.add_argument("--first-crack", type=_temperature, default=196.0, metavar="C", help="(196)")
    plan.add_argument(
        "--align",
        choices=("charge", "turning_point"),
        default="charge",
        help="where roast and reference are laid on each other (charge)",
    )
    return command


def _number(text: str, low: float, high: float, what: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = float("nan")
    if not low <= value <= high:
        raise argparse.ArgumentTypeError(f"{text!r} is not {what}")
    return value


def _positive(text: str) -> float:
    return _number(text, 0.01, 1000.0, "a number above zero")


def _temperature(text: str) -> float:
    return _number(text, 50.0, 300.0, "a temperature from 50 to 300 °C")


def _baud(text: str) -> int:
    return int(_number(text, 50.0, 4_000_000.0, "a line speed such as 9600"))


def _speed(text: str) -> float | None:
    if text == "max":
        return None
    return _number(text, 0.01, 10_000.0, "max, or a number from 0.01 to 10000")
