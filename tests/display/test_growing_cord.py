"""The cord at the side of the practice screen grows as moves are made, where there is room."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from companion.display.layout import Paper, compose
from companion.display.status import Status
from companion.loops.rehearse import read_recipe
from companion.practice.prompt import Prompt, Words
from companion.practice.view import CordView

RECIPE = Path(__file__).parents[2] / "recipes" / "ten-loop-open-edge.toml"


def words(said: Prompt) -> str:
    return " ".join(part.text for part in said.parts if isinstance(part, Words))


@pytest.fixture
def screen(samples):
    """The lines of a screen after so many moves of the ten-loop cord."""
    recipe = read_recipe(RECIPE.read_text(encoding="utf-8"), RECIPE.stem)

    def screen(moves, columns=130, rows=36, colourway="workshop", **paper):
        cord = CordView(recipe, recipe.colourway(colourway), moves) if moves else None
        view = replace(samples["ten loops"], cord=cord)
        return compose(view, Status(), words, Paper(columns, rows, **paper))

    return screen


def side(lines, width=24):
    return [line.plain[130 - width :] for line in lines]


def test_the_cord_hangs_from_the_top_and_grows_with_every_move(screen) -> None:
    heights = [sum("▀" in row or "▄" in row for row in side(screen(moves))) for moves in (10, 20, 45, 50)]
    assert heights == sorted(heights)
    assert heights[0] < heights[1] < heights[3]
    assert "▀" in side(screen(10))[0]


def test_of_a_long_cord_the_newest_part_fills_the_side(screen) -> None:
    lines = screen(4000)
    assert all("▀" in row or "▄" in row for row in side(lines))
    # The colours come round with the repeat, five cycles of ten moves.
    assert [line.spans for line in screen(4050)] == [line.spans for line in lines]
    assert [line.spans for line in screen(4020)] != [line.spans for line in lines]


@pytest.mark.parametrize(("columns", "rows"), [(110, 30), (120, 40), (200, 60), (130, 16)])
def test_the_window_is_kept_to(screen, columns, rows) -> None:
    for colours in ("truecolor", "256", "standard", None):
        lines = screen(77, columns, rows, colour_system=colours)
        assert len(lines) <= rows
        assert max(line.cell_len for line in lines) <= columns


def test_the_hands_and_all_words_stay_whole_beside_it(screen) -> None:
    text = "\n".join(line.plain for line in screen(77, 110, 30))
    for finger in ("thumb", "index", "middle", "ring", "little"):
        assert text.count(finger) >= 2


@pytest.mark.parametrize(("columns", "rows"), [(80, 24), (109, 40), (130, 12)])
def test_a_small_window_has_no_room_for_the_cord(screen, columns, rows) -> None:
    assert [line.plain for line in screen(77, columns, rows)] == [line.plain for line in screen(0, columns, rows)]


def test_before_the_first_move_there_is_no_cord(screen) -> None:
    assert not any("▀" in row[-10:] for row in side(screen(0))[:3])


def test_without_colours_the_cord_grows_in_letters(screen) -> None:
    lines = screen(20, colour_system=None, colourway="stripe")
    assert [line.plain[100:].split() for line in lines[:2]] == [["l\\", "/l", "/d", "l\\", "/l"]] * 2
    assert not lines[2].plain[100:].strip()


def test_in_letters_the_newest_cycle_stands_at_the_foot_of_a_long_cord(screen) -> None:
    def foot(cycles):
        return screen(10 * cycles, colour_system=None)[-1].plain[100:].split()

    assert [foot(cycles) for cycles in range(101, 106)] == [foot(cycles) for cycles in range(41, 46)]
    assert len({tuple(foot(cycles)) for cycles in range(101, 106)}) > 2
