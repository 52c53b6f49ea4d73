"""The pictures in README.md, made from real sessions' states: ``python -m companion.session.pictures``."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

from companion import library
from companion.display.cord_svg import cord_svg
from companion.display.picture import svg
from companion.display.sheet.drawing import PAPER, Drawing
from companion.display.sheet.ground import HEIGHT
from companion.display.sheet.moves import step_drawing
from companion.display.status import Status
from companion.practice import learning, sequencer
from companion.practice.commands import Command
from companion.practice.cues import beginner
from companion.practice.events import Answered, Begun, Event, Heard, Spoken
from companion.practice.glance import glance
from companion.practice.lesson import planned
from companion.practice.state import Plan, State
from companion.practice.view import View
from companion.session import setting
from companion.session.sheet import sheet_of
from companion.structure.drawing import float_face
from companion.structure.faces import Seen

FOLDER = Path(__file__).parent.parent / "display" / "pictures"
COLUMNS, ROWS = 100, 30
SECONDS_PER_MOVE = 7.0


def _open(heard: str) -> Status:
    return Status(ear="open", ear_name="moonshine", heard=heard, level=-38.0)


def _moves(number: int) -> list[Event]:
    """So many moves made, each in the same time."""
    events: list[Event] = [Begun(), Spoken(0.0)]
    for move in range(number):
        at_s = move * SECONDS_PER_MOVE
        events += [Heard(Command.NEXT, at_s=at_s + SECONDS_PER_MOVE - 2.0), Spoken(at_s + SECONDS_PER_MOVE)]
    return events


def _braided(plan: Plan, events: Iterable[Event]) -> State:
    state = sequencer.begin(plan)
    for event in events:
        state, _ = sequencer.step(state, event)
    return state


def practising() -> tuple[View, Status]:
    """The second cycle of the square cord."""
    recipe = library.load("five-loop-square")
    plan = Plan(recipe, recipe.colourways[0], goal_cycles=40)
    return glance(_braided(plan, _moves(10))), _open("next")


def learning_a_part() -> tuple[View, Status]:
    """A lesson on the ten-loop cord: its left hand, for the second time."""
    recipe = library.load("ten-loop-open-edge")
    lesson = learning.begin(planned(recipe), Plan(recipe, recipe.colourways[0]))
    for event in _moves(7):
        lesson, _ = learning.step(lesson, event)
    return learning.view(lesson), _open("next")


def finding_the_place() -> tuple[View, Status]:
    """A lost place in the ten-loop cord, after two answers."""
    recipe = library.load("ten-loop-open-edge")
    plan = Plan(recipe, recipe.colourways[0], goal_cycles=40)
    answers: list[Event] = [Heard(Command.LOST), Answered("dark"), Answered("light")]
    return glance(_braided(plan, [*_moves(26), *answers])), _open("light")


def on_a_long_cord() -> tuple[View, Status]:
    """The square cord, measured, with more than half of it made and its words faded."""
    recipe = library.load("five-loop-square")
    plan = Plan(recipe, recipe.colourways[0], goal_cycles=40, coaching=beginner(len(recipe.cycle)))
    measured: list[Event] = [Heard(Command.MEASURED), Answered("7.5"), Spoken()]
    state = _braided(plan, [*_moves(6 * 22 + 1), *measured])
    return glance(state), _open("7.5")


PICTURES: dict[str, Callable[[], tuple[View, Status]]] = {
    "practise": practising,
    "learn": learning_a_part,
    "lost": finding_the_place,
    "long-cord": on_a_long_cord,
}


def picture(name: str) -> str:
    """One of the pictures as SVG, always the same."""
    view, status = PICTURES[name]()
    return svg(view, status, setting.phrasebook().text, COLUMNS, ROWS)


CORDS = {
    "cord-square": ("five-loop-square", "halves"),
    "cord-workshop": ("ten-loop-open-edge", "workshop"),
    "cord-stripe": ("ten-loop-open-edge", "stripe"),
}
"""Pictures of cords: recipe and colourway."""
CORD_CYCLES = 10


def cord_picture(name: str) -> str:
    """Both faces of one of the cords as SVG."""
    recipe_name, colourway_name = CORDS[name]
    recipe = library.load(recipe_name)
    colourway = recipe.colourway(colourway_name)
    faces = [float_face(recipe, colourway, seen) for seen in (Seen.UPPER, Seen.LOWER)]
    repeats = CORD_CYCLES / faces[0].cycles
    return cord_svg(faces, dict(recipe.fills), repeats, f"{recipe.title}, colourway {colourway.name}")


SHEET_STEPS, SHEET_DRAWING = 2, 250.0
"""How many moves of a sheet are shown, and how wide each is, in points."""


def sheet_picture() -> str:
    """The first moves of the ten-loop cord as its sheet shows them, with their words."""
    recipe = library.load("ten-loop-open-edge")
    page = sheet_of(recipe, recipe.colourway("stripe"))
    steps = page.cycle.steps[:SHEET_STEPS]
    words = " ".join(f"{step.number} {step.words}" for step in steps)
    wide, top = SHEET_DRAWING * SHEET_STEPS, 20.0
    picture = Drawing("sheet", f"Two moves of a sheet: {words}", " ".join(step.told for step in steps), wide, top)
    picture.add("rect", width=wide, height=top + HEIGHT, fill=PAPER)
    for number, step in enumerate(steps):
        drawing = step_drawing(page.cycle, step, page.look, SHEET_DRAWING, f"move-{number}")
        picture.text((number + 0.5) * SHEET_DRAWING, 14.0, f"{step.number}  {step.words}", bold=True, size=9.5)
        at = {"x": number * SHEET_DRAWING, "y": top, "width": SHEET_DRAWING, "height": HEIGHT}
        for side, value in at.items():
            drawing.root.set(side, f"{value:g}")
        picture.root.append(drawing.root)
    picture.root.set("viewBox", f"0 0 {wide:g} {top + HEIGHT:g}")
    picture.root.set("height", f"{top + HEIGHT:g}pt")
    return picture.svg() + "\n"


def main() -> None:
    """Write the pictures anew."""
    FOLDER.mkdir(exist_ok=True)
    for name in CORDS:
        (FOLDER / f"{name}.svg").write_text(cord_picture(name), encoding="utf-8")
    (FOLDER / "sheet.svg").write_text(sheet_picture(), encoding="utf-8")
    for name in PICTURES:
        (FOLDER / f"{name}.svg").write_text(picture(name), encoding="utf-8")


if __name__ == "__main__":
    main()
