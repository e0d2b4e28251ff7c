"""The words of the command line are part of the product: help, examples, version."""

from __future__ import annotations

import argparse
import io
import re
import shlex
from contextlib import redirect_stdout
from pathlib import Path

import pytest

from roastside import __version__
from roastside.arguments import parser
from roastside.core.errors import UsageError
from roastside.live.line import Line, chosen_lines
from roastside.live.settings import Settings
from tests.live.running import HOUSE, run

ROASTING = ("replay", "listen", "follow", "demo")
DESK = ("import", "export", "report", "consistency")
COMMANDS = (
    *ROASTING,
    *("compare", "probes", "calibrate", "sounds", "rebuild", "backup", "restore"),
    *DESK,
)
CONTRACT_OPTIONS = {
    "replay": {"--reference", "--speed", "--events", "--tolerance", "--tolerance-s"},
    "listen": {"--port", "--wire", "--reference", "--record", "--events", "--tolerance"},
    "follow": {"--reference", "--events", "--tolerance", "--tolerance-s"},
    "demo": {"--events"},
    "compare": {"--unit"},
    "probes": {"--port", "--seconds", "--ask", "--save"},
    "calibrate": {"--port", "--wire", "--altitude", "--pressure", "--ice", "--boiling"},
    "sounds": {"--save", "--only", "--volume"},
    "rebuild": set(),
    "backup": set(),
    "restore": {"--replace"},
    "import": {"--map", "--date"},
    "export": set(),
    "report": {"--reference", "--unit"},
    "consistency": {"--unit"},
}
"""What contract 4 promises of each command."""


def chosen(arguments: list[str]) -> tuple[str, argparse.Namespace]:
    """Which command the arguments choose, and what they set."""
    called: list[str] = []

    def note(name: str) -> int:
        called.append(name)
        return 0

    commands = {name: lambda _, name=name: note(name) for name in ("", *COMMANDS)}
    found = parser(commands).parse_args(arguments)
    found.run(found)
    return called[0], found


def help_text(*command: str) -> str:
    said = io.StringIO()
    with redirect_stdout(said), pytest.raises(SystemExit) as ended:
        chosen([*command, "--help"])
    assert ended.value.code == 0
    return said.getvalue()


def test_every_example_of_the_help_is_a_command_that_can_be_given() -> None:
    lines = re.findall(r"^  (roastside\b.*)$", help_text(), flags=re.MULTILINE)
    examples = [re.split(r"\s{2,}", line)[0] for line in lines]
    assert {chosen(shlex.split(example)[1:])[0] for example in examples} == {"", *COMMANDS}


def test_an_example_with_an_option_nobody_knows_would_be_noticed() -> None:
    with pytest.raises(UsageError, match="--loud"):
        chosen(["demo", "--loud"])


@pytest.mark.parametrize("command", COMMANDS)
def test_the_help_of_a_command_names_every_option_of_the_contract(command: str) -> None:
    text = help_text(command)
    assert set(re.findall(r"--[a-z-]+", text)) >= CONTRACT_OPTIONS[command]
    assert ("targets" in text) == (command in ROASTING)


def test_the_defaults_are_those_of_the_contract() -> None:
    _, found = chosen(["listen", "--port", "x"])
    assert (found.tolerance, found.tolerance_s) == (None, None), "what the settings say"
    assert (Settings().plan.tolerance_c, Settings().plan.tolerance_s) == (2.0, 10.0)
    assert chosen_lines(found.port, found.baud, found.wire) == [Line("x", 9600, "lines")]


@pytest.mark.parametrize(
    ("text", "target"), [("75", (75.0, None)), ("75s", (75.0, None)), ("20%", (None, 0.2))]
)
def test_a_development_target_is_seconds_or_a_share(
    text: str, target: tuple[float | None, float | None]
) -> None:
    assert chosen(["demo", "--development", text])[1].development == target


@pytest.mark.parametrize(("text", "speed"), [("max", None), ("20", 20.0), ("0.5", 0.5)])
def test_a_speed_is_max_or_a_number(text: str, speed: float | None) -> None:
    assert chosen(["replay", "x.csv", "--speed", text])[1].speed == speed


def test_options_are_not_guessed_from_their_beginnings() -> None:
    with pytest.raises(UsageError):
        chosen(["replay", "x.csv", "--tol", "3"])


def test_help_and_version_are_printed_by_the_program_itself(tmp_path: Path) -> None:
    version = run("--version", home=tmp_path)
    assert (version.code, version.out, version.err) == (0, f"roastside {__version__}\n", "")
    helped = run("--help", home=tmp_path)
    assert (helped.code, helped.err) == (0, "")
    assert "never leave a roast unattended" in " ".join(helped.out.split())
    assert "exit codes: 0 done; 2 bad usage" in helped.out
    assert "usage: roastside replay" in run("replay", "--help", home=tmp_path).out


@pytest.mark.parametrize(
    ("arguments", "closed"),
    [((), ""), ((), "<&-"), (("demo",), ""), (("replay", str(HOUSE)), "<&-")],
    ids=["nothing", "nothing, no stdin", "demo", "replay, no stdin"],
)
def test_the_screen_without_a_terminal_is_refused_in_a_sentence(
    arguments: tuple[str, ...], closed: str, tmp_path: Path
) -> None:
    done = run(*arguments, home=tmp_path, closed=closed)
    assert (done.code, done.out) == (2, "")
    assert "--events" in done.sentence
    assert list(tmp_path.iterdir()) == []
