"""Every step of a cycle with its words and its drawing: the hands before it, and what goes where."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from companion.display.sheet.drawing import Drawing
from companion.display.sheet.ground import HEIGHT, LEAST_PITCH, Ground, ground, pitch_for
from companion.display.sheet.hands import Look, Painter
from companion.display.sheet.telling import hands_told, move_told
from companion.display.sheet.ways import draw_ways
from companion.loops.hands import Hands, loaded
from companion.loops.journeys import Journey, journeys
from companion.loops.moves import make
from companion.loops.together import groups, touched
from companion.practice.group_talk import rows
from companion.practice.group_wording import together
from companion.practice.prompt import Prompt
from companion.practice.state import Plan
from companion.recipe.model import Action, Recipe, Take, Tighten
from companion.recipe.places import Place

COMFORTABLE = 26.0
"""Points from finger to finger that are plenty."""


@dataclass(frozen=True)
class Step:
    """Moves that are made together: their numbers in the cycle, words, hands before and after, ways."""

    first: int
    last: int
    words: str
    before: Hands
    after: Hands
    moves: tuple[tuple[Action, tuple[Journey, ...]], ...]

    @property
    def number(self) -> str:
        """As it is printed."""
        return str(self.first) if self.first == self.last else f"{self.first}–{self.last}"

    @property
    def told(self) -> str:
        """What its drawing shows."""
        return ". ".join(move_told(action, self.before, going) for action, going in self.moves) + "."


@dataclass(frozen=True)
class Cycle:
    """The steps of a cycle, and which fingers it needs."""

    recipe: Recipe
    steps: tuple[Step, ...]

    @cached_property
    def used(self) -> frozenset[Place]:
        """The fingers that hold a loop or do something."""
        needed = set(self.recipe.loops)
        for move in self.recipe.cycle:
            needed.update(touched(move.action))
        return frozenset(needed)

    @cached_property
    def most_crowded(self) -> int:
        """On how many fingers two loops lie at one moment, at the most."""
        return max(len(crowded(step.before)) for step in self.steps)

    @property
    def ends_in_sight(self) -> bool:
        """Whether the last drawing shows the hands as they are after the cycle: it ends with tightening."""
        return isinstance(self.recipe.cycle[-1].action, Tighten) and len(self.steps[-1].moves) == 1

    def fits(self, width: float) -> bool:
        """Whether drawings of that width can be read."""
        return self._pitch(width) >= LEAST_PITCH

    def could_grow(self, width: float) -> bool:
        """Whether wider drawings would show more than these: at some width hands are large enough."""
        return self._pitch(width) < COMFORTABLE

    def _pitch(self, width: float) -> float:
        return pitch_for(width, loaded(self.recipe).places, self.used, self.most_crowded)

    def ground(self, hands: Hands, width: float) -> Ground:
        """The columns of a drawing of these hands; the same pitch in all drawings of a width."""
        return ground(hands.places, self.used, crowded(hands), self._pitch(width), width)


def crowded(hands: Hands) -> tuple[Place, ...]:
    """The fingers that hold two loops."""
    places = [held.place for held in hands.loops]
    return tuple(dict.fromkeys(place for place in places if places.count(place) > 1))


def cycle_of(recipe: Recipe, words: Callable[[Prompt], str]) -> Cycle:
    """The cycle from the loaded hands on; ``words`` gives a prompt's text. Raises MoveError."""
    plan = Plan(recipe, recipe.colourways[0])
    steps: list[Step] = []
    hands, first = loaded(recipe), 1
    for size in groups(recipe):
        before, made = hands, []
        for move in recipe.cycle[first - 1 : first - 1 + size]:
            # Moves that are made together are one row of steps before and after each other.
            made.append((move.action, journeys(move.action, hands)))
            hands = make(move.action, hands)
        said = words(together(rows(plan, first), recipe.braiders))
        steps.append(Step(first, first + size - 1, said, before, hands, tuple(made)))
        first += size
    return Cycle(recipe, tuple(steps))


def step_drawing(cycle: Cycle, step: Step, look: Look, width: float, name: str) -> Drawing:
    """One step."""
    title = f"Move {step.number}. {step.told}"
    drawing = Drawing(name, title, f"Before it: {hands_told(step.before, look.colourway)}", width, HEIGHT)
    painter = Painter(drawing, cycle.ground(step.before, width), look)
    operators = [action.by for action, _ in step.moves if isinstance(action, Take)]
    painter.fingers(step.before, operators, any(isinstance(action, Tighten) for action, _ in step.moves))
    going = [journey for _, all_going in step.moves for journey in all_going]
    _coming(painter, step, going, operators)
    painter.loops(step.before, [journey.loop for journey in going])
    for action, all_going in step.moves:
        draw_ways(painter, action, step.before, all_going)
    return drawing


def hands_drawing(cycle: Cycle, hands: Hands, look: Look, width: float, name: str, title: str) -> Drawing:
    """Hands that do nothing."""
    held = hands_told(hands, look.colourway)
    drawing = Drawing(name, f"{title}: {held}", held, width, HEIGHT)
    painter = Painter(drawing, cycle.ground(hands, width), look)
    painter.fingers(hands)
    painter.loops(hands)
    return drawing


def _coming(painter: Painter, step: Step, going: list[Journey], operators: list[Place]) -> None:
    """Where loops will lie on fingers that hold none yet."""
    after = {held.loop: held for held in step.after.loops}
    for journey in going:
        if not step.before.on(journey.end):
            colours = after[journey.loop].colours(painter.look.colourway)
            painter.coming(painter.ground.centres[journey.end], colours, journey.end in operators)
