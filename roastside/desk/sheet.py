"""Cells of tables written for people, safe to open in a spreadsheet.

A spreadsheet runs a cell beginning with `=`, `+`, `-` or `@`, or with their full-width twins, as a
formula, and takes a tab or line end before one away (CWE-1236, "Improper Neutralization of Formula
Elements in a CSV File"). An apostrophe before it makes it the text that it is.
"""

from __future__ import annotations

import re

_BEGINS_A_FORMULA = re.compile(r"[\s'\x00\ufeff\u200b]*[=+\-@＝＋－＠]|[\t\r\n]")
_PLAIN_NUMBER = re.compile(r"[+-]?[0-9]+([.,][0-9]+)?([eE][+-]?[0-9]+)?")


def safe_cell(text: str) -> str:
    """Text as no spreadsheet runs it; plain numbers stay as they are, and so does all else."""
    if _PLAIN_NUMBER.fullmatch(text) or not _BEGINS_A_FORMULA.match(text):
        return text
    return f"'{text}"
