"""A roast on one page: whole, safe, and true to its recording."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import pytest

from roastside.book.intake import take_in_all
from roastside.book.store import Book
from roastside.core.errors import RoastsideError
from roastside.core.units import CELSIUS, FAHRENHEIT, Degrees
from roastside.desk.report_page import report_page
from roastside.desk.roast_story import roast_story
from tests.book.homes import FIXTURES, HOUSE, home_of, roast_text, write_version
from tests.live.running import run_here

SLOW = FIXTURES / "house-slow-browning.csv"
ATTACK = '<script>alert("x")</script>&'


class Page(HTMLParser):
    """Checks that tags are closed in order, and gathers what the page says."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[str] = []
        self.words: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.feed(text)
        self.close()
        assert not self.open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += attrs
        if tag != "meta":
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += attrs

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words.append(data)

    @property
    def text(self) -> str:
        return " ".join(self.words)


def page_of(path: Path, reference: Path | None = HOUSE, degrees: Degrees = CELSIUS) -> str:
    return report_page(roast_story(path, reference, degrees, 2.0), degrees)


def picture(page: str) -> ElementTree.Element:
    found = re.search(r"<svg.*?</svg>", page, re.DOTALL)
    assert found
    return ElementTree.fromstring(found[0])


def kinds(page: str) -> set[str]:
    return {each.get("class", "") for each in picture(page).iter()}


def test_the_page_tells_figures_findings_comparison_controls_and_notes() -> None:
    page = Page(page_of(SLOW))
    for told in (
        "House espresso, batch 14",
        "7 March 2026, 07:49",
        "10:06, 195.8 °C",
        "+44 s, −1.7 °C",
        "Browning 44 s longer",
        "The rate rose again",
        "heat to 64 %",
        "queue at the counter",
        "14.2 %",
    ):
        assert told in page.text, told


def test_it_is_one_file_without_scripts_or_anything_from_elsewhere() -> None:
    text = page_of(SLOW)
    page = Page(text)
    assert not {"script", "link", "img", "iframe", "object"} & set(page.tags)
    assert not [name for name, _ in page.attributes if name.startswith("on") or name in ("src",)]
    assert "url(" not in text
    assert "@page" in text


def test_the_picture_has_each_line_in_a_pattern_of_its_own() -> None:
    page = page_of(SLOW)
    drawn = {"bean", "rate", "reference", "corridor", "dot", "stage drying", "stage development"}
    assert kinds(page) >= drawn
    patterns = re.findall(r"svg \.(?:rate|reference|reference-rate) \{.*?dasharray: (.*?);", page)
    assert len(set(patterns)) == 3
    assert not re.search(r"svg \.bean \{[^}]*dasharray", page)


def test_every_coordinate_lies_in_the_picture() -> None:
    root = picture(page_of(SLOW))
    _, _, width, height = map(float, root.get("viewBox", "").split())
    for line in root.iter():
        for pair in line.get("points", "").split():
            x, y = map(float, pair.split(","))
            assert 0.0 <= x <= width
            assert 0.0 <= y <= height


def test_without_a_reference_nothing_is_compared() -> None:
    page = page_of(SLOW, None)
    assert not kinds(page) & {"reference", "corridor", "reference-rate"}
    assert "Against" not in Page(page).text


def test_degrees_as_people_want_them() -> None:
    text = Page(page_of(SLOW, HOUSE, FAHRENHEIT)).text
    assert "11:56, 398.8 °F" in text
    assert "°C" not in text


def test_whatever_people_write_is_only_text(tmp_path: Path) -> None:
    said = {"title": ATTACK, "coffee": ATTACK, "remarks": ATTACK, "started_at": ATTACK}
    path = tmp_path / "a.csv"
    quoted = ATTACK.replace('"', '""')
    path.write_text(roast_text(said) + f'300.00,,,comment,,"{quoted}"\n', encoding="utf-8")
    text = page_of(path)
    page = Page(text)
    assert "script" not in page.tags
    assert page.text.count("alert") >= 5
    assert "alert" in (picture(text).get("aria-label") or "")


def test_a_roast_that_was_not_finished_still_has_a_page(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    rows = roast_text().splitlines()
    path.write_text("\n".join(row for row in rows if ",drop," not in row) + "\n", encoding="utf-8")
    assert "Turning point" in Page(page_of(path)).text


def test_many_controls_stay_on_the_page_and_the_rest_is_counted(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    more = "".join(f"{60 + 5 * k}.00,,,control,{k},heat %\n" for k in range(100))
    path.write_text(roast_text() + more, encoding="utf-8")
    text = Page(page_of(path)).text
    assert "more, in the recording." in text
    assert "heat to 3 %" in text
    assert "heat to 99 %" not in text


def test_a_roast_that_nobody_marked_has_a_page(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    rows = SLOW.read_text(encoding="utf-8").splitlines()
    marked = (",charge,", ",yellowing,", ",first_crack,", ",drop,")
    path.write_text("\n".join(r for r in rows if not any(m in r for m in marked)) + "\n")
    text = Page(page_of(path)).text
    assert "Turning point" in text
    assert "Inside the corridor" in text


@pytest.mark.parametrize(
    ("missing", "said", "not_said"),
    [
        (["first_crack"], "from yellowing to drop, first crack not marked", "browning "),
        (["yellowing"], "from charge to first crack, yellowing not marked", "drying "),
        (
            ["yellowing", "first_crack"],
            "from charge to drop, yellowing and first crack not marked",
            "drying ",
        ),
    ],
)
def test_stages_that_nobody_parted_are_not_told_apart(
    missing: list[str], said: str, not_said: str
) -> None:
    story = roast_story(SLOW, None, CELSIUS, 2.0)
    marks = {name: at_s for name, at_s in story.roast.marks.items() if name not in missing}
    assert len(marks) == len(story.roast.marks) - len(missing)
    bare = replace(story, roast=replace(story.roast, marks=marks))
    words = Page(report_page(bare, CELSIUS)).words
    assert any(said in word for word in words)
    assert not any(word.startswith(not_said) and "%" in word for word in words)


def test_a_file_without_a_charge_is_a_sentence(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_text("time_s,bean_c,mark\n" + "".join(f"{k},20.00,\n" for k in range(200)))
    with pytest.raises(RoastsideError, match="charge"):
        page_of(path)


def test_the_command_finds_the_reference_in_the_book(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    home = home_of(tmp_path / "home", SLOW)
    write_version(home, corridor_c=4.0)
    with Book.open(home) as book:
        take_in_all(book)
    out = tmp_path / "a.html"
    words = ("report", home / "recordings" / SLOW.name, "-o", out)
    done = run_here(*words, home=home, patch=monkeypatch, streams=capfd)
    assert (done.code, done.out, done.err) == (0, f"{out}\n", "")
    found = out.read_text(encoding="utf-8")
    assert "Against House espresso v3" in found
    wide = float(re.findall(r"Inside the corridor</td><td>(\d+) %", found)[0])
    narrow = float(re.findall(r"Inside the corridor</td><td>(\d+) %", page_of(SLOW))[0])
    assert wide > narrow, "the reference's own corridor is twice as wide"
    lone = run_here(*words, home=tmp_path / "new", patch=monkeypatch, streams=capfd)
    assert lone.code == 0
    assert "--reference" in lone.sentence
