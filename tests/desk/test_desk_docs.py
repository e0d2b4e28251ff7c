"""What docs/desk.md tells people to type can be typed."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

from roastside.book.filters import condition
from roastside.desk.layout import parse_map
from tests.test_command_line import DESK, chosen

DOCS = Path(__file__).resolve().parents[2] / "docs" / "desk.md"


def test_every_command_of_the_page_is_one() -> None:
    lines = re.findall(r"^(roastside .*)$", DOCS.read_text(encoding="utf-8"), re.MULTILINE)
    found = [chosen(shlex.split(line)[1:]) for line in lines]
    assert {name for name, _ in found} == set(DESK)
    for name, options in found:
        if name == "import" and options.map:
            assert parse_map(options.map)["unit"] == "F"
        if name == "export" and options.where:
            words = condition(options.where)
            assert "instr(roast.search" not in words.sql, "each part is understood"
