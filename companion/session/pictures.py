"""The pictures in README.md, made from a real session's state: ``python -m companion.session.pictures``."""

from __future__ import annotations

from pathlib import Path

from companion import library
from companion.display.picture import svg
from companion.display.status import Status
from companion.practice.commands import Command
from companion.practice.events import Begun, Event, Heard
from companion.practice.glance import glance
from companion.practice.sequencer import begin, step
from companion.practice.state import Plan
from companion.session import setting

FOLDER = Path(__file__).parent.parent / "display" / "pictures"
COLUMNS, ROWS = 100, 30
NEXTS = 10


def practise_picture() -> str:
    """The screen in the second cycle of the square cord, as SVG."""
    recipe = library.load("five-loop-square")
    state = begin(Plan(recipe, recipe.colourways[0], goal_cycles=40))
    events: list[Event] = [Begun(), *[Heard(Command.NEXT)] * NEXTS]
    for event in events:
        state, _ = step(state, event)
    status = Status(ear="open", ear_name="sphinx", heard="next", level=-38.0)
    return svg(glance(state), status, setting.phrasebook().text, COLUMNS, ROWS)


def main() -> None:
    """Write the pictures anew."""
    FOLDER.mkdir(exist_ok=True)
    (FOLDER / "practise.svg").write_text(practise_picture(), encoding="utf-8")


if __name__ == "__main__":
    main()
