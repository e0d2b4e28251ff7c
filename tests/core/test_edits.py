"""What a roaster says, understood."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from roastside.core.edits import CAN_BE_SAID, Edit, EditKind, parse_edits
from roastside.core.errors import UsageError
from roastside.core.units import FAHRENHEIT
from tests.core.roasts import steady

LONGER = Edit(EditKind.LENGTH, "browning", 20.0, True)


@pytest.mark.parametrize(
    "text",
    [
        "browning 20 s longer",
        "Browning 20s longer.",
        "browning 20 seconds longer",
        "browning longer by 20 s",
        "20 sec longer browning",
        "browning 0:20 longer",
        "make the browning stage 20 longer",
        "first crack 20 s later",
        "First crack later by 0:20",
    ],
)
def test_many_ways_of_saying_one_thing(text: str) -> None:
    assert parse_edits(text) == (LONGER,)


@pytest.mark.parametrize(
    ("text", "edit"),
    [
        ("development 10 s shorter", Edit(EditKind.LENGTH, "development", -10.0)),
        ("development 1:05 shorter", Edit(EditKind.LENGTH, "development", -65.0)),
        ("drying 1 min longer", Edit(EditKind.LENGTH, "drying", 60.0, True)),
        ("yellowing 15 s sooner", Edit(EditKind.LENGTH, "drying", -15.0)),
        ("drop 10 s earlier", Edit(EditKind.LENGTH, "development", -10.0)),
        ("drop 1.5 °C lower", Edit(EditKind.DROP, "drop", -1.5)),
        ("drop 1,5 cooler", Edit(EditKind.DROP, "drop", -1.5)),
        ("drop temperature 2 degrees higher", Edit(EditKind.DROP, "drop", 2.0, True)),
        ("drop 1.8 °F hotter", Edit(EditKind.DROP, "drop", 1.0, True)),
        ("charge 5 C cooler", Edit(EditKind.CHARGE, "charge", -5.0)),
        ("gentler start", Edit(EditKind.START, "drying", None)),
        ("a faster start", Edit(EditKind.START, "drying", None, True)),
        ("stronger start", Edit(EditKind.START, "drying", None, True)),
        ("start 1 °C/min gentler", Edit(EditKind.START, "drying", -1.0)),
        ("rate at first crack 1 °C/min less", Edit(EditKind.RATE, "first_crack", -1.0)),
        ("rate of rise at drop 0.5 higher", Edit(EditKind.RATE, "drop", 0.5, True)),
        ("rate at yellowing 1.8 F per minute lower", Edit(EditKind.RATE, "yellowing", -1.0)),
    ],
)
def test_each_kind_of_edit(text: str, edit: Edit) -> None:
    (found,) = parse_edits(text)
    assert (found.kind, found.where, found.faster) == (edit.kind, edit.where, edit.faster)
    assert found.amount == (None if edit.amount is None else pytest.approx(edit.amount))


def test_degrees_without_a_unit_are_those_of_the_person() -> None:
    (drop,) = parse_edits("drop 9 lower", FAHRENHEIT)
    assert drop.amount == pytest.approx(-5.0)
    (drop,) = parse_edits("drop 9 °C lower", FAHRENHEIT)
    assert drop.amount == pytest.approx(-9.0)
    (rate,) = parse_edits("rate at drop 0.9 °/min less", FAHRENHEIT)
    assert rate.amount == pytest.approx(-0.5)


def test_several_are_joined_by_and_or_a_comma() -> None:
    found = parse_edits(
        "Browning 20 s longer, drop 1,5 °C lower and gentler start; charge 3 hotter"
    )
    assert [edit.kind for edit in found] == ["length", "drop", "start", "charge"]
    assert found[1].amount == -1.5


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "no edit was said"),
        (" , and ", "no edit was said"),
        ("make it nicer", "'make it nicer' is not understood"),
        ("browning 20 s longer, and more pizzazz", "'more pizzazz' is not understood"),
        ("Browning 20 s hotter", "'Browning 20 s hotter' is not understood"),
        ("browning longer shorter 20 s", "is not understood"),
        ("browning 20 s longer today", "is not understood"),
        ("rate at charge 2 less", "is not understood"),
        ("turning point 5 s later", "is not understood"),
        ("browning 20 s 30 s longer", "is not understood"),
        ("browning longer", "does not say by how much"),
        ("browning 0 s longer", "changes nothing"),
        ("browning 3 °C longer", "needs seconds"),
        ("drop 10 s lower", "needs °C"),
        ("rate at drop 10 s less", "needs °C/min"),
        ("browning -5 s longer", "is not understood"),
        ("browning 0:75 longer", "is not understood"),
    ],
)
def test_what_is_not_understood_is_said_in_one_sentence(text: str, says: str) -> None:
    with pytest.raises(UsageError) as refused:
        parse_edits(text)
    assert says in str(refused.value)
    assert "browning 20 s longer" in str(refused.value)
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize("words", CAN_BE_SAID)
def test_whatever_is_offered_is_understood(words: str) -> None:
    assert len(parse_edits(words)) == 1


def documented() -> list[str]:
    """What the first column of the table in docs/references.md says can be said."""
    text = (Path(__file__).parents[2] / "docs" / "references.md").read_text(encoding="utf-8")
    table = text.partition("| say |")[2].partition("\n\n")[0]
    rows = [line for line in table.splitlines() if line.startswith("| `")]
    return [words for row in rows for words in re.findall("`(.+?)`", row.split("|")[1])]


def test_whatever_is_documented_is_understood() -> None:
    said = documented()
    assert len(said) >= 7
    assert [len(parse_edits(words)) for words in said] == [1] * len(said)


@steady
@given(st.text(max_size=60))
def test_any_text_is_understood_or_refused(text: str) -> None:
    try:
        assert parse_edits(text)
    except UsageError as refused:
        assert "\n" not in str(refused)
