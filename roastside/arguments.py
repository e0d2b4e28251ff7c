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
  roastside probes --save                       find the adapter and keep how to read it
  roastside listen --reference house.csv
  roastside listen --port /dev/ttyUSB0 --reference house.csv
  roastside listen --port COM3 --wire lines:bean=1 --port COM4 --wire lines:air=1
  roastside replay batch-12.csv --speed 20
  roastside replay batch-12.csv --reference house.csv --speed max --events
  roastside follow growing.csv --events
  roastside compare house.csv batch-12.csv
  roastside import "May batches.csv" "June batches.csv"
  roastside import june.csv --map "time=Time(s),bean=Temp 2,air=Temp 1,unit=F"
  roastside export roasts /media/usb/roasts --where "coffee:house since:2026-01"
  roastside export figures roasts.csv
  roastside report batch-12.csv -o batch-12.html
  roastside consistency "House espresso v3"
  roastside calibrate --port /dev/ttyUSB0 --altitude 520
  roastside sounds --only milestone-medium
  roastside rebuild                             make the book anew from the recordings
  roastside backup 2026-03.zip                  book, recordings and settings in one file
  roastside restore 2026-03.zip --replace

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
        "--port",
        action="append",
        default=[],
        metavar="URL",
        help="/dev/ttyUSB0, COM3, socket://host:port, ... (the one of the settings); again for "
        "each further adapter, each with its own --wire",
    )
    listen.add_argument(
        "--baud", action="append", default=[], type=_baud, help="speed of the line (9600)"
    )
    listen.add_argument(
        "--wire",
        action="append",
        default=[],
        metavar="SPEC",
        help="what the bytes mean: lines (text, the default), lines:bean=2,air=1,unit=F, "
        "modbus:..., millivolts:...; see docs/probes.md",
    )
    listen.add_argument("--record", metavar="FILE", help="where to keep the recording")
    listen.set_defaults(run=run["listen"])

    follow = _command(commands, "follow", "follow a roast file that is still growing")
    follow.add_argument("file", metavar="FILE", help="a roast file another program is writing")
    follow.set_defaults(run=run["follow"])

    demo = _command(
        commands, "demo", "practise: an invented roast, nothing needs plugging in", reference=False
    )
    demo.set_defaults(run=run["demo"])

    _compare(commands).set_defaults(run=run["compare"])
    _probes(commands).set_defaults(run=run["probes"])
    _calibrate(commands).set_defaults(run=run["calibrate"])
    _sounds(commands).set_defaults(run=run["sounds"])
    _import(commands).set_defaults(run=run["import"])
    _export(commands, run["export"])
    _report(commands).set_defaults(run=run["report"])
    _consistency(commands).set_defaults(run=run["consistency"])
    _rebuild(commands).set_defaults(run=run["rebuild"])
    _backup(commands).set_defaults(run=run["backup"])
    _restore(commands).set_defaults(run=run["restore"])
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
    _unit(command)
    plan = command.add_argument_group("targets")
    plan.add_argument(
        "--tolerance", type=_positive, metavar="C", help="corridor in °C (as the settings say: 2.0)"
    )
    plan.add_argument(
        "--tolerance-s",
        type=_positive,
        metavar="S",
        help="corridor in seconds (as the settings say: 10)",
    )
    plan.add_argument(
        "--development",
        metavar="S|P%",
        type=development_target,
        default=(None, None),
        help="target for the time after first crack: seconds, or a share such as 20%%",
    )
    plan.add_argument(
        "--yellowing",
        type=_temperature,
        default=150.0,
        metavar="C",
        help="bean temperature at which yellowing is taken to begin, °C (150)",
    )
    plan.add_argument(
        "--first-crack",
        type=_temperature,
        default=196.0,
        metavar="C",
        help="bean temperature at which first crack is expected, °C (196)",
    )
    plan.add_argument(
        "--align",
        choices=("charge", "turning_point"),
        default="charge",
        help="where roast and reference are laid on each other (charge)",
    )
    return command


def _unit(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--unit", choices=("C", "F"), help="degrees to show and speak in (as the settings say: C)"
    )


def _compare(commands: argparse._SubParsersAction[_Parser]) -> argparse.ArgumentParser:
    says = "tell how a roast differs from another, and what the rate of rise did in both"
    command = commands.add_parser("compare", help=says, description=f"{says}.", allow_abbrev=False)
    command.add_argument("first", metavar="FILE", help="the roast file to compare with")
    command.add_argument("second", metavar="FILE", help="the roast file to tell of")
    _unit(command)
    return command


def _probes(commands: argparse._SubParsersAction[_Parser]) -> argparse.ArgumentParser:
    says = "find the adapter: listen to each port at the usual speeds, and tell how to read it"
    command = commands.add_parser("probes", help=says, description=f"{says}.", allow_abbrev=False)
    command.add_argument("--port", default="", metavar="URL", help="this one only (all there are)")
    command.add_argument(
        "--seconds", type=_positive, default=3.0, metavar="S", help="to listen at each speed (3)"
    )
    command.add_argument(
        "--ask",
        action="store_true",
        help="where nothing comes unasked, send Modbus questions to unit 1; it only asks to read",
    )
    command.add_argument(
        "--save", action="store_true", help="keep the first adapter found for `roastside listen`"
    )
    return command


def _calibrate(commands: argparse._SubParsersAction[_Parser]) -> argparse.ArgumentParser:
    says = "check a probe in ice and boiling water, and keep its correction"
    command = commands.add_parser(
        "calibrate", help=says, description=f"{says}.", allow_abbrev=False
    )
    command.add_argument("--port", default="", metavar="URL", help="(the one of the settings)")
    command.add_argument("--baud", type=_baud, help="speed of the line")
    command.add_argument("--wire", default="", metavar="SPEC", help="what the bytes mean")
    command.add_argument(
        "--channel", default="bean_c", metavar="NAME", help="which probe: bean_c, air_c (bean_c)"
    )
    command.add_argument("--type", default="", metavar="K", help="its thermocouple, if known")
    place = command.add_mutually_exclusive_group()
    place.add_argument(
        "--altitude", type=float, metavar="M", help="of this place above the sea, in metres"
    )
    place.add_argument(
        "--pressure",
        type=float,
        metavar="HPA",
        help="of the air at this place as a barometer shows it, in hPa; weather reports give it "
        "for the level of the sea, which is another",
    )
    command.add_argument("--person", default="", metavar="NAME", help="who does it")
    command.add_argument("--ice", action="store_true", help="the ice bath only, unless --boiling")
    command.add_argument("--boiling", action="store_true", help="boiling water only, unless --ice")
    command.add_argument("--dry-run", action="store_true", help="keep nothing")
    command.add_argument(
        "--steady-for", type=_seconds, default=30.0, metavar="S", help="to count as steady (30)"
    )
    command.add_argument(
        "--patience", type=_seconds, default=600.0, metavar="S", help="for each bath (600)"
    )
    return command


def _sounds(commands: argparse._SubParsersAction[_Parser]) -> argparse.ArgumentParser:
    says = "play each sound and tell what it means"
    command = commands.add_parser("sounds", help=says, description=f"{says}.", allow_abbrev=False)
    command.add_argument("--only", default="", metavar="NAME", help="this one only (all there are)")
    command.add_argument("--save", metavar="DIR", help="write WAV files there, play nothing")
    command.add_argument(
        "--volume", type=_volume, default=1.0, metavar="PERCENT", help="from 0 to 100 (100)"
    )
    return command


def _rebuild(commands: argparse._SubParsersAction[_Parser]) -> argparse.ArgumentParser:
    says = "make the book anew from the recordings and references; the old one is kept aside"
    return commands.add_parser("rebuild", help=says, description=f"{says}.", allow_abbrev=False)


def _backup(commands: argparse._SubParsersAction[_Parser]) -> argparse.ArgumentParser:
    says = "store book, recordings, references and settings in one file, and verify it"
    command = commands.add_parser("backup", help=says, description=f"{says}.", allow_abbrev=False)
    command.add_argument("file", metavar="FILE", help="a new zip file; nothing is overwritten")
    return command


def _restore(commands: argparse._SubParsersAction[_Parser]) -> argparse.ArgumentParser:
    says = "verify a backup and put everything in it back"
    command = commands.add_parser("restore", help=says, description=f"{says}.", allow_abbrev=False)
    command.add_argument("file", metavar="FILE", help="what `roastside backup` stored")
    command.add_argument(
        "--replace",
        action="store_true",
        help="move what is there now aside, into a folder with the date",
    )
    return command


def _import(commands: argparse._SubParsersAction[_Parser]) -> argparse.ArgumentParser:
    says = "take in CSV files of any logger as roasts; what cannot be guessed is asked once"
    command = commands.add_parser("import", help=says, description=f"{says}.", allow_abbrev=False)
    command.add_argument("files", nargs="+", metavar="FILE", help="a CSV file; roast files too")
    command.add_argument(
        "--map",
        default="",
        metavar="MAP",
        help="what the columns are: time=Time(s),bean=Temp 2,air=Temp 1,unit=F; see docs/desk.md",
    )
    command.add_argument(
        "--date", default="", metavar="DATE", help="when they were roasted (as the files say)"
    )
    return command


def _export(commands: argparse._SubParsersAction[_Parser], run: Command) -> None:
    says = "copy roasts out as roast files, or their figures as one table"
    command = commands.add_parser("export", help=says, description=f"{says}.", allow_abbrev=False)
    kinds = command.add_subparsers(dest="kind", metavar="WHAT", required=True)
    copies = "copy the roast files, named by date and title"
    roasts = kinds.add_parser("roasts", help=copies, description=f"{copies}.", allow_abbrev=False)
    roasts.add_argument("to", metavar="DIR", help="the folder, made if need be")
    table = "write one table of all figures, a row a roast"
    figures = kinds.add_parser("figures", help=table, description=f"{table}.", allow_abbrev=False)
    figures.add_argument("to", metavar="FILE", help="ends in .csv, or .parquet (needs pyarrow)")
    for kind in (roasts, figures):
        kind.add_argument(
            "--where",
            default="",
            metavar="WORDS",
            help="only these roasts: coffee:house since:2026-01 (all)",
        )
        kind.set_defaults(run=run)


def _report(commands: argparse._SubParsersAction[_Parser]) -> argparse.ArgumentParser:
    says = "write a roast on one page, as HTML to print or to send"
    command = commands.add_parser("report", help=says, description=f"{says}.", allow_abbrev=False)
    command.add_argument("file", metavar="FILE", help="a roast file")
    command.add_argument("-o", "--out", default="", metavar="FILE", help="(FILE.html, here)")
    command.add_argument(
        "--reference", default="", metavar="FILE", help="(the one the roast names, from the book)"
    )
    _unit(command)
    return command


def _consistency(commands: argparse._SubParsersAction[_Parser]) -> argparse.ArgumentParser:
    says = "tell how alike the repeats of a reference are, and what drifts"
    command = commands.add_parser(
        "consistency", help=says, description=f"{says}.", allow_abbrev=False
    )
    command.add_argument("reference", metavar="REFERENCE", help='such as "House espresso v3"')
    _unit(command)
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


def _seconds(text: str) -> float:
    return _number(text, 1.0, 7200.0, "a number of seconds from 1 to 7200")


def _temperature(text: str) -> float:
    return _number(text, 50.0, 300.0, "a temperature from 50 to 300 °C")


def _volume(text: str) -> float:
    return _number(text, 0.0, 100.0, "a volume from 0 to 100") / 100.0


def _baud(text: str) -> int:
    return int(_number(text, 50.0, 4_000_000.0, "a line speed such as 9600"))


def _speed(text: str) -> float | None:
    if text == "max":
        return None
    return _number(text, 0.01, 10_000.0, "max, or a number from 0.01 to 10000")
