"""Sample views of a costume workshop's cords, and a terminal emulator that reads what a screen draws."""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import pyte
import pytest
from rich.console import Console

from companion.display.screen import Screen
from companion.display.status import Status
from companion.practice.prompt import Prompt, Words
from companion.practice.view import FingerView, View
from companion.recipe.model import Colours
from companion.recipe.places import Finger, Hold, Place, lateral_order, place_names

LIGHT, DARK, LIGHT_OVER_DARK = Colours("light", "light"), Colours("dark", "dark"), Colours("light", "dark")
FILLS = (("light", "#efdfb8"), ("dark", "#7a2e3a"))


def prompt(text: str) -> Prompt:
    """A prompt of ready words."""
    return Prompt((Words(text),))


def words(said: Prompt) -> str:
    """The text of such a prompt."""
    return " ".join(part.text for part in said.parts if isinstance(part, Words))


def view_of(loops: Mapping[str, tuple[Colours, ...]], braiders: int = 1, **changes: Any) -> View:
    """A view in the second cycle of five, with the loops given by the names of their fingers."""
    places = {place: name for name, place in place_names(braiders).items()}
    fingers = tuple(
        FingerView(place, loops.get(places[place], ()))
        for place in lateral_order(changes.pop("held", Hold.LITTLE_IN_THE_MIDDLE), braiders)
    )
    view = View(
        title="Lacing cord",
        phase="braiding",
        move=3,
        moves_in_cycle=6,
        cycle=2,
        cycles_in_repeat=5,
        repeat=4,
        cycles_done=16,
        goal_cycles=20,
        fingers=fingers,
        braiders=braiders,
        fills=FILLS,
        to_come=prompt("Right index. Through two. Take little. Turned."),
        active=(place_names(braiders)["right index" if braiders == 1 else "one right index"],),
    )
    return replace(view, **changes)


FIVE = {
    "left middle": (LIGHT,),
    "left ring": (LIGHT,),
    "left little": (DARK,),
    "right ring": (LIGHT,),
    "right middle": (LIGHT,),
}


def _ten() -> dict[str, tuple[Colours, ...]]:
    def colour(place: Place) -> Colours:
        return LIGHT if place.finger in (Finger.THUMB, Finger.INDEX) else DARK

    return {name: (colour(place),) for name, place in place_names(1).items()}


def _samples() -> dict[str, View]:
    ten = _ten()
    pair = {f"{who} {name}": (LIGHT if who == "one" else DARK,) for who in ("one", "two") for name in FIVE}
    long_names = (Colours("crimson", "crimson"), Colours("dark green", "yellow"), LIGHT, DARK, DARK)
    many = tuple((name, "#a01030") for name in ("crimson", "dark green", "yellow"))
    return {
        "five loops": view_of(FIVE),
        "ten loops": view_of(ten, moves_in_cycle=10, move=9),
        "two on a finger": view_of({**ten, "left little": (DARK, LIGHT), "left middle": ()}),
        "bicolour": view_of(dict.fromkeys(FIVE, (LIGHT_OVER_DARK,))),
        "two braiders": view_of(pair, 2, to_come=prompt("One: Right index. Through two.")),
        "loading": view_of(FIVE, phase="loading the loops", move=0, cycle=1, repeat=1, cycles_done=0),
        "resting": view_of(FIVE, phase="resting"),
        "long names": view_of(dict(zip(FIVE, [(loop,) for loop in long_names], strict=True)), fills=FILLS + many),
        "index fingers in the middle": view_of(FIVE, held=Hold.INDEX_IN_THE_MIDDLE),
    }


SAMPLES = _samples()
STATUS = Status(ear="open", ear_name="vosk", heard="next", level=-30.0)


@dataclass
class Window:
    """An emulated terminal window with a screen drawn in it."""

    screen: Screen
    console: Console
    file: io.StringIO
    emulator: pyte.Screen

    def show(self, view: View, status: Status = STATUS) -> str:
        """Show a view; returns what was written to the terminal for it."""
        before = len(self.file.getvalue())
        self.screen.show(view, status)
        written = self.file.getvalue()[before:]
        pyte.Stream(self.emulator).feed(written)
        return written

    @property
    def lines(self) -> list[str]:
        """The rows of the window."""
        return list(self.emulator.display)

    @property
    def text(self) -> str:
        """All rows as one text."""
        return "\n".join(self.lines)


@pytest.fixture
def window() -> Callable[..., Window]:
    """Opens a window of so many columns and rows."""

    def opened(columns: int, rows: int, **options: Any) -> Window:
        file = options.pop("file", None) or io.StringIO()
        environment = options.pop("environment", {"TERM": "xterm-256color"})
        options = {"color_system": "truecolor", "force_terminal": True, "legacy_windows": False, **options}
        console = Console(file=file, width=columns, height=rows, _environ=environment, **options)
        return Window(Screen(console, words), console, file, pyte.Screen(columns, rows))

    return opened


@pytest.fixture
def samples() -> dict[str, View]:
    """The sample views by name."""
    return SAMPLES


@pytest.fixture
def status() -> Status:
    """An open ear that has heard "next"."""
    return STATUS


@pytest.fixture
def make_view() -> Callable[..., View]:
    """Makes further views."""
    return view_of
