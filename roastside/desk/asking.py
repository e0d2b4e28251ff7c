"""Asking at the terminal what a table's columns are, for what nobody can guess."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence

from roastside.core.text import clean
from roastside.desk.importing import Proposal
from roastside.desk.layout import TIME_UNITS, UNITS, Layout, told_of

_EXAMPLES = 4

_COLUMN_QUESTIONS = {
    "time": "Which column is the time?",
    "bean": "Which column is the bean temperature?",
    "air": "Which column is the air temperature (0: none)?",
}
_CHOICE_QUESTIONS = {
    "time_unit": (
        f"How is the time written: {', '.join(TIME_UNITS[:-2])}, clock (m:ss), date?",
        TIME_UNITS,
    ),
    "unit": ("Which degrees are they: C, F, K?", UNITS),
}

Reply = Callable[[str], str]
"""Shows a question and gives what was typed; `input` is one."""


def ask_layout(proposal: Proposal, reply: Reply = input) -> Layout:
    """Ask for each field that is unclear; Enter takes what is proposed."""
    table, layout = proposal.table, proposal.layout
    print(f"{clean(proposal.path.name)} has these columns:", file=sys.stderr)
    for number, name in enumerate(table.names, 1):
        examples = [cell for cell in table.cells(name) if cell][:_EXAMPLES]
        print(f"  {number}  {name}: {clean(', '.join(examples))}", file=sys.stderr)
    told: dict[str, str] = {}
    for role, question in _COLUMN_QUESTIONS.items():
        if role in proposal.unclear:
            told[role] = _column(table.names, layout, role, question, reply)
    for role, (question, choices) in _CHOICE_QUESTIONS.items():
        if role in proposal.unclear:
            told[role] = _choice(layout, role, question, choices, reply)
    return told_of(table.names, layout, told)


def _column(names: Sequence[str], layout: Layout, role: str, question: str, reply: Reply) -> str:
    usual = getattr(layout, role)
    shown = str(names.index(usual) + 1) if usual else ""
    least = 0 if role == "air" else 1
    while True:
        typed = reply(_prompt(question, shown)).strip() or shown
        if typed.isdecimal() and least <= int(typed) <= len(names):
            return names[int(typed) - 1] if int(typed) else ""
        if typed in names:
            return typed
        print(f"Type a number from {least} to {len(names)}.", file=sys.stderr)


def _choice(layout: Layout, role: str, question: str, choices: Sequence[str], reply: Reply) -> str:
    usual = str(getattr(layout, role))
    by_lower = {choice.lower(): choice for choice in choices}
    while True:
        typed = reply(_prompt(question, usual)).strip() or usual
        if typed.lower() in by_lower:
            return by_lower[typed.lower()]
        print(f"Type one of {', '.join(choices)}.", file=sys.stderr)


def _prompt(question: str, usual: str) -> str:
    return f"{question} [{usual}] " if usual else f"{question} "
