"""A session to be told things, and the words of its prompts, for every test of the practice room."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import pytest

from companion import library
from companion.practice.commands import Command
from companion.practice.events import Begun, Effect, Event, Heard, Record, Say
from companion.practice.glance import glance
from companion.practice.position import Position
from companion.practice.prompt import Prompt
from companion.practice.sequencer import begin, step
from companion.practice.state import Phase, Plan, State
from companion.practice.view import View
from companion.recipe.model import Recipe
from companion.speaking.phrasebook import Phrasebook
from companion.speaking.phrasebook_reading import read_phrasebook


@dataclass
class Sitting:
    """A session with everything that it has been told and has asked for."""

    state: State
    book: Phrasebook
    effects: tuple[Effect, ...] = ()
    all_effects: list[Effect] = field(default_factory=list)

    def tell(self, *events: Event) -> Sitting:
        """Tell events one after the other; ``effects`` are those of the last one."""
        for event in events:
            self.state, self.effects = step(self.state, event)
            self.all_effects += self.effects
        return self

    def hear(self, *commands: str) -> Sitting:
        """Hear commands one after the other."""
        return self.tell(*(Heard(Command(command)) for command in commands))

    @property
    def said(self) -> list[str]:
        """What the last event makes it say."""
        return [self.book.text(effect.prompt) for effect in self.effects if isinstance(effect, Say)]

    @property
    def asked_for(self) -> list[str]:
        """The kinds of the last event's effects, in their order."""
        return [type(effect).__name__ for effect in self.effects]

    @property
    def recorded(self) -> list[tuple[str, Position]]:
        """What the last event puts on disk."""
        return [(effect.kind, effect.position) for effect in self.effects if isinstance(effect, Record)]

    @property
    def phase(self) -> Phase:
        return self.state.phase

    @property
    def position(self) -> Position:
        return self.state.position

    @property
    def view(self) -> View:
        return glance(self.state)


@pytest.fixture(scope="session")
def book() -> Phrasebook:
    """The shipped English phrasebook."""
    path = library.prompt_folder() / "en" / "phrasebook.toml"
    return read_phrasebook(path.read_text(encoding="utf-8"), path.name)


@pytest.fixture(scope="session")
def shipped() -> dict[str, Recipe]:
    """The shipped recipes by name."""
    return {name: library.load(name) for name in library.names()}


@pytest.fixture(scope="session")
def plan(shipped: dict[str, Recipe]) -> Callable[..., Plan]:
    """A plan for a shipped recipe, the square cord in its first colourway where nothing else is said."""

    def make(recipe: str = "five-loop-square", colourway: str = "", **rest: object) -> Plan:
        cord = shipped[recipe]
        return Plan(cord, cord.colourway(colourway) if colourway else cord.colourways[0], **rest)  # type: ignore[arg-type]

    return make


@pytest.fixture(scope="session")
def sitting(plan: Callable[..., Plan], book: Phrasebook) -> Callable[..., Sitting]:
    """A session that has begun; arguments as for ``plan``."""

    def make(*names: str, **rest: object) -> Sitting:
        return Sitting(begin(plan(*names, **rest)), book).tell(Begun())

    return make


@pytest.fixture(scope="session")
def text(book: Phrasebook) -> Callable[[Prompt], str]:
    """A prompt in the words of the shipped phrasebook."""
    return book.text
