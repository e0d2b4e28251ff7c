"""References as lines of text, and what their charts draw."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from roastside.app.draw.cells import text_width
from roastside.app.reference_curves import rate_chart, version_chart
from roastside.app.reference_words import chapter_text, list_head, list_lines, page_head
from roastside.book.earned import Earned
from roastside.book.rows import Note, Version
from roastside.core.change import edited
from roastside.core.units import CELSIUS, FAHRENHEIT
from roastside.live.reference_shelf import Shelved
from roastside.live.reference_story import Chapter, Curve
from tests.core.good_references import HOUSE

VERSION = Version(
    id=2,
    reference_id=1,
    version=5,
    title="House espresso v5",
    name="House espresso",
    coffee="Quarry Road natural",
    coffee_id=1,
    file="references/House espresso v5.csv",
    origin="edit",
    parent_id=1,
    made_at="2026-03-12T09:00:00+01:00",
    author="Ines",
    change="browning 20 s longer",
    reason="flat in the cup; more sweetness wanted",
    is_current=True,
)
BEFORE = replace(VERSION, id=1, version=4, title="House espresso v4", is_current=False)
EARNED = Earned(roasts=5, good=4, fair=1, loss=0.146, cup_score=84.2, scored=5)
NOTE = Note(1, "2026-03-15T10:00:00+01:00", "", "Sweeter; keep it.", None, 2)
CHAPTER = Chapter(
    VERSION,
    "From v4: browning 20 s longer.",
    EARNED,
    BEFORE,
    Earned(roasts=2, cup_score=83.1, scored=2),
    [NOTE],
)


@pytest.mark.parametrize("width", [78, 120])
def test_the_list_keeps_its_columns(width: int) -> None:
    other = replace(VERSION, title="An espresso with a name that goes on and on and on v12")
    shelved = [
        Shelved(VERSION, 3, 9, EARNED, "2026-03-28T07:00:00+01:00"),
        Shelved(replace(other, is_current=False), 1, 0, Earned(), None),
    ]
    first, second = list_lines(shelved, width)
    assert {text_width(line) for line in (list_head(width), first, second)} == {width}
    told = "Quarry Road natural ● House espresso v5 3 9 84.2 2026-03-28"
    assert " ".join(first.split()) == told
    assert second.lstrip().startswith("○ An espr") and "v12 " in second
    assert second.rstrip().endswith("1")


@pytest.mark.parametrize("width", [30, 76])
def test_a_chapter_tells_all_and_fits_its_width(width: int) -> None:
    curve = Curve(None, None, ("Browning 4:52 → 5:12 (+20 s), rate 9.7 → 9.1 °C/min.",))
    text = chapter_text(CHAPTER, curve, width, here=True, last=False).plain
    lines = text.split("\n")
    assert max(map(text_width, lines)) <= width or width == 30
    assert all(line[:3].strip() == "│" for line in lines[1:])
    words = " ".join(line[4:] for line in lines).split()
    told = " ".join(words)
    assert "v5 · current · 12 March 2026 by Ines" in told
    assert "Why: flat in the cup; more sweetness wanted" in told
    assert "5 roasts: 4 good, 1 fair · loss 14.6 % · cup 84.2, +1.1 against v4" in told
    assert "Note, 15 March 2026: Sweeter; keep it." in told
    assert not any(line.endswith("9.1") for line in lines)


def test_the_head_of_the_story_tells_how_the_cup_went() -> None:
    first = Chapter(BEFORE, "", Earned(roasts=2, cup_score=83.1, scored=2), None, None, [])
    head = page_head([first, CHAPTER])
    assert head == (
        "House espresso · for Quarry Road natural · 2 versions · 7 roasts · cup 83.1 → 84.2"
    )
    assert page_head([CHAPTER]).endswith("1 version · 5 roasts")


def test_a_version_is_drawn_with_the_one_before_and_its_corridor() -> None:
    change = edited(HOUSE, "browning 20 s longer")
    wide = replace(change.after, corridor_c=[2.0] * len(change.after.bean_c))
    data = version_chart(wide, HOUSE, FAHRENHEIT)
    by_name = {series.name: series for series in data.series}
    assert set(by_name) == {"bean", "rate", "before", ""}
    # 1.8 °F are 1 °C, by definition: a half width of 2 °C is a corridor of 7.2 °F.
    [band] = data.bands
    assert np.allclose(band.high - band.low, 7.2)
    assert by_name["bean"].x[-1] == pytest.approx(by_name["before"].x[-1] + 20.0, abs=0.51)
    assert len(version_chart(HOUSE, HOUSE, CELSIUS).series) == 2


def test_the_change_of_rate_is_drawn_about_nought() -> None:
    change = edited(HOUSE, "browning 20 s longer")
    data = rate_chart(change, CELSIUS, HOUSE.end_s)
    low, high = data.left_range or (0.0, 0.0)
    assert low == -high and high >= 1.0
    line = data.series[0].y
    yellow_s, crack_s = (change.after.marks[name] for name in ("yellowing", "first_crack"))
    x = data.series[0].x
    inside = (x > yellow_s + 30.0) & (x < crack_s - 30.0)
    assert (line[inside] < -0.2).all()
    assert np.isnan(line[x < change.after.lowest_s]).all()
    assert rate_chart(None, CELSIUS, 600.0).left_range == (-1.0, 1.0)


@pytest.mark.parametrize(("width", "heads"), [(80, 6), (60, 5)])
def test_the_heads_of_the_list_are_whole_and_the_last_roast_gives_way(
    width: int, heads: int
) -> None:
    head = list_head(width)
    names = ["coffee", "● current ○ newest", "versions", "roasts", "cup", "last roast"]
    assert text_width(head) <= width
    assert [name in head for name in names[2:]] == [True] * (heads - 2) + [False] * (6 - heads)
    assert (names[1] in head) == (width == 80)
