"""Large letters, fills, labels, meters: the parts that the screen is put together from."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len
from rich.color import Color

from companion.display.big_text import ROWS, block, fitted
from companion.display.colours import contrast_ratio, fill_style, relative_luminance, text_on
from companion.display.glyphs import GLYPHS, HEIGHT, has_glyphs, pixels
from companion.display.labels import short_names
from companion.display.tables import level_bar, level_meter, level_word
from companion.display.wrapping import wrapped

CHANNEL = st.integers(0, 255)
TEXT = st.text(st.characters(codec="utf-8", exclude_categories=("C", "M")), max_size=60)


def test_every_large_sign_can_be_told_from_every_other() -> None:
    assert all(len(picture) == HEIGHT and len({len(row) for row in picture}) == 1 for picture in GLYPHS.values())
    for one, other in combinations(GLYPHS, 2):
        assert GLYPHS[one] != GLYPHS[other], (one, other)


def test_large_letters_hold_the_pixels_of_their_signs() -> None:
    picture = pixels("Take 2")
    shown = [row.plain for row in block("Take 2", 1)]
    for row, dots in enumerate(picture):
        for column, dot in enumerate(dots):
            upper_half = row % 2 == 0
            inked = shown[row // 2][column] in ("█", "▀" if upper_half else "▄")
            assert inked == (dot == "#")


@given(TEXT, st.integers(1, 130), st.integers(0, 40), st.booleans())
def test_a_move_never_takes_more_room_than_it_is_given(text: str, columns: int, rows: int, ascii_only: bool) -> None:
    lines = fitted(text, columns, rows, ascii_only)
    assert len(lines) <= rows
    assert all(line.cell_len <= columns for line in lines)


def test_sizes_fall_with_the_room() -> None:
    heights = [len(fitted("Tighten.", 80, rows, False)) for rows in (1, 3, 5)]
    assert heights == [1, ROWS[1], ROWS[2] - 1]


def test_signs_without_a_large_form_are_set_plain() -> None:
    assert not has_glyphs("오른손")
    assert any("오른손" in line.plain for line in fitted("오른손 검지.", 60, 10, False))


def test_luminance_and_contrast_have_the_published_values() -> None:
    # WCAG 2.1: black on white is 21 : 1; mid grey #777777 on white just fails 4.5 : 1 at 4.48 : 1.
    assert relative_luminance((255, 255, 255)) == pytest.approx(1)
    assert contrast_ratio((0, 0, 0), (255, 255, 255)) == pytest.approx(21)
    assert contrast_ratio((0x77, 0x77, 0x77), (255, 255, 255)) == pytest.approx(4.48, abs=0.01)


@given(st.tuples(CHANNEL, CHANNEL, CHANNEL))
def test_the_text_on_any_fill_can_be_read(fill: tuple[int, int, int]) -> None:
    assert contrast_ratio(text_on(fill), fill) >= 4.58


@pytest.mark.parametrize("system", ["standard", "256", "truecolor"])
@given(fill=st.tuples(CHANNEL, CHANNEL, CHANNEL))
def test_the_text_suits_the_colour_that_the_terminal_really_shows(system: str, fill: tuple[int, int, int]) -> None:
    style = fill_style(Color.from_rgb(*fill).name, system)
    assert style.bgcolor is not None
    assert style.color is not None
    shown = style.bgcolor.get_truecolor()
    assert contrast_ratio(tuple(style.color.get_truecolor()), tuple(shown)) >= 4.5


def test_an_unknown_colour_and_a_colourless_terminal_get_a_reversed_fill() -> None:
    assert fill_style(None, "truecolor").reverse
    assert fill_style("#7a2e3a", None).reverse
    assert fill_style("#7a2e3a", None).color is None


@given(st.lists(TEXT.filter(str.strip), max_size=12, unique=True), st.integers(5, 13))
def test_short_names_fit_and_differ(names: list[str], columns: int) -> None:
    labels = short_names(names, columns)
    assert len(set(labels.values())) == len(names)
    assert all(cell_len(label) <= columns for label in labels.values())


def test_short_names_keep_what_fits() -> None:
    assert short_names(["light", "dark green", "dark grey", "yellow"], 5) == {
        "light": "light",
        "dark green": "d.gr.",
        "dark grey": "d.gr2",
        "yellow": "yell.",
    }


@given(TEXT, st.integers(2, 80))
def test_wrapped_lines_fit(text: str, columns: int) -> None:
    assert all(cell_len(line) <= columns for line in wrapped(text, columns))


def test_the_level_meter_says_what_the_level_means() -> None:
    assert level_bar(-60, 10) == "░" * 10
    assert level_bar(0, 10) == "█" * 10
    assert level_bar(float("nan"), 10) == "░" * 10
    assert level_bar(-30, 10, ascii_only=True) == "#####....."
    assert [level_word(level) for level in (-70, -30, -1)] == ["quiet", "good", "too loud"]
    assert level_meter(float("-inf")).plain.endswith("-60 dB  quiet")
