"""What versions and their files are called."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from roastside.core.errors import UsageError
from roastside.record.titles import file_stem, next_title, split_title
from tests.core.roasts import steady

# Microsoft, "Naming Files, Paths, and Namespaces".
RESERVED = set('<>:"/\\|?*')
DEVICES = {
    "con",
    "prn",
    "aux",
    "nul",
    *(f"{port}{n}" for port in ("com", "lpt") for n in "123456789¹²³"),
}


@pytest.mark.parametrize(
    ("title", "parts"),
    [
        ("House espresso v3", ("House espresso", 3)),
        ("House espresso V12", ("House espresso", 12)),
        ("House espresso", ("House espresso", None)),
        ("v3", ("v3", None)),
        ("House v0", ("House v0", None)),
        ("Mark v", ("Mark v", None)),
    ],
)
def test_a_title_is_a_name_and_a_version(title: str, parts: tuple[str, int | None]) -> None:
    assert split_title(title) == parts


@pytest.mark.parametrize(
    ("existing", "name", "title"),
    [
        ([], "House espresso", "House espresso v1"),
        (["House espresso v3", "House espresso v11"], "house espresso", "House espresso v12"),
        (["Decaf v7"], "House espresso", "House espresso v1"),
        (["House espresso v3"], "House espresso v2", "House espresso v4"),
        (["House espresso"], "House espresso", "House espresso v1"),
    ],
)
def test_the_next_version_comes_after_all_there_are(
    existing: list[str], name: str, title: str
) -> None:
    assert next_title(existing, name) == title


@pytest.mark.parametrize("name", ["", "   ", "\x1b[31m", "long " * 20])
def test_a_reference_needs_a_name(name: str) -> None:
    with pytest.raises(UsageError, match="needs a name"):
        next_title([], name)


@pytest.mark.parametrize(
    ("title", "stem"),
    [
        ("House espresso v3", "House espresso v3"),
        ('Half/half: "new"? v3', "Half-half- -new- v3"),
        ("CON", "_CON"),
        ("com1.old v2", "_com1.old v2"),
        ("..", "reference"),
        (" .hidden. ", "hidden"),
        ("Café v1", "Café v1"),
    ],
)
def test_a_file_is_called_like_its_title(title: str, stem: str) -> None:
    assert file_stem(title) == stem


def test_a_long_name_is_cut_and_keeps_its_version() -> None:
    stem = file_stem("é" * 300 + " v12")
    assert stem.endswith("é v12")
    assert len(stem.encode()) <= 180


@steady
@given(st.text(max_size=300))
def test_any_title_makes_a_file_name_for_every_platform(title: str) -> None:
    stem = file_stem(title)
    assert stem
    assert not RESERVED & set(stem)
    assert all(character >= " " for character in stem)
    assert stem == stem.strip(" .")
    assert stem.partition(".")[0].strip().casefold() not in DEVICES
    assert len(stem.encode()) <= 200
    assert file_stem(stem) == stem
