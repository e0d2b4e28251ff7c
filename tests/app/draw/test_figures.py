from __future__ import annotations

from itertools import product

import pytest

from roastside.app.draw.cells import Cells, text_width
from roastside.app.draw.digits import FACES, NARROW, SMALL, Face, figure_width, write_figure
from roastside.app.draw.figures import Figure, draw_figures
from roastside.app.draw.inks import Ink

GLANCE = [
    Figure("elapsed", "7:10", priority=9),
    Figure("bean", "198.4", "°C", priority=8),
    Figure("rate", "9.3", "°C/min", priority=7),
    Figure("▲ ahead", "+12", "s", "warn", priority=6),
    Figure("first crack in", "1:05", priority=5),
]


def written(text: str, face: Face) -> list[str]:
    cells = Cells(figure_width(text, face), face.rows)
    write_figure(cells, 0, 0, text, face, Ink.PLAIN)
    return cells.text()


@pytest.mark.parametrize("face", FACES)
def test_no_two_characters_look_alike(face: Face) -> None:
    looks = {tuple(written(character, face)) for character in "0123456789:.+−°"}
    assert len(looks) == 15


@pytest.mark.parametrize("face", FACES)
def test_all_numerals_are_equally_wide_so_that_nothing_jumps(face: Face) -> None:
    assert len({figure_width(numeral, face) for numeral in "0123456789"}) == 1


@pytest.mark.parametrize("face", FACES)
def test_only_half_blocks_are_used_and_strokes_are_wide(face: Face) -> None:
    for numeral in "0123456789":
        rows = written(numeral, face)
        assert set("".join(rows)) <= set(" ▀▄█")
        if face is not NARROW:
            assert all(len(part) >= 2 for row in rows for part in row.split())


@pytest.mark.parametrize("face", FACES)
def test_every_kind_of_minus_is_the_same(face: Face) -> None:
    assert written("-4", face) == written("−4", face) == written("–4", face)


def test_a_character_without_a_large_form_stands_in_plain_text() -> None:
    assert written("4h", SMALL)[-1].endswith("h")


def test_there_is_room_for_five_large_figures_on_a_wide_screen() -> None:
    cells = draw_figures(GLANCE, 160, 6)
    captions = cells.text()[0]
    assert [figure.caption in captions for figure in GLANCE] == [True] * 5
    starts = [captions.index(figure.caption) for figure in GLANCE]
    assert starts == sorted(starts)
    assert "█" in cells.text()[1]
    assert "°C/min" in cells.text()[5]


def test_equal_shares_where_every_figure_fits_its_share() -> None:
    figures = [Figure(f"no {n}", "12") for n in range(4)]
    captions = draw_figures(figures, 120, 6).text()[0]
    assert [captions.index(f"no {n}") for n in range(4)] == [0, 30, 60, 90]


def test_units_go_before_any_figure_goes() -> None:
    with_units = draw_figures(GLANCE[:3], 100, 4).text()
    without = draw_figures(GLANCE[:3], 46, 4).text()
    assert "°C/min" in with_units[3]
    assert "°C" not in "".join(without)
    assert all(figure.caption in without[0] for figure in GLANCE[:3])


def test_there_is_room_for_five_large_figures_in_eighty_columns() -> None:
    rows = draw_figures(GLANCE, 80, 4).text()
    assert [figure.caption in rows[0] for figure in GLANCE] == [True] * 5
    assert all("█" in row for row in rows[1:])


def test_the_less_important_become_lines_of_text() -> None:
    rows = draw_figures(GLANCE, 62, 4).text()
    assert "elapsed" in rows[0]
    assert any(row.endswith("first crack in 1:05") for row in rows)


def test_the_least_important_go_where_there_is_no_room_at_all() -> None:
    rows = draw_figures(GLANCE, 26, 4).text()
    assert "elapsed" in rows[0]
    assert "first crack" not in "".join(rows)


def test_order_is_kept_whatever_the_priorities() -> None:
    figures = [Figure("low", "1", priority=1), Figure("high", "2", priority=2)]
    captions = draw_figures(figures, 80, 6).text()[0]
    assert captions.index("low") < captions.index("high")


def test_with_little_height_figures_are_plain_text() -> None:
    rows = draw_figures(GLANCE, 80, 2).text()
    assert rows[1].split() == ["7:10", "198.4", "°C", "9.3", "°C/min", "+12", "s", "1:05"]


@pytest.mark.parametrize(
    ("tone", "ink"), [("good", Ink.GOOD), ("warn", Ink.WARN), ("bad", Ink.BAD)]
)
def test_tone_colours_figure_and_caption(tone: str, ink: Ink) -> None:
    cells = draw_figures([Figure("▲ hot", "212", tone=tone)], 60, 6)  # type: ignore[arg-type]
    assert cells.ink[0, 0] == ink
    assert (cells.ink[1:] == ink).sum() > 40
    assert cells.text()[0].startswith("▲ hot")


@pytest.mark.parametrize("figures", [[], GLANCE[:1], GLANCE])
def test_any_size_is_drawn(figures: list[Figure]) -> None:
    for width, height in product((0, 1, 5, 20, 80, 200), (0, 1, 2, 3, 4, 6, 9)):
        rows = draw_figures(figures, width, height).text()
        assert [text_width(row) for row in rows] == [width] * height
