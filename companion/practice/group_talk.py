"""The moves that are made together, as rows of words: whose they are, and what is said of each."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from companion.loops.together import braiders_of
from companion.practice.group_wording import Row, without_call
from companion.practice.prompt import Prompt
from companion.practice.state import Plan
from companion.practice.steps import made_together
from companion.practice.wording import move_prompt, undo_prompt
from companion.recipe.model import Move


def rows(plan: Plan, number: int) -> list[Row]:
    """The move of that number, from 1 over all cycles, and those that are made together with it after it."""
    return worded(plan, number, lambda made: move_prompt(plan.recipe, plan.move(made)))


def worded(plan: Plan, number: int, words: Callable[[int], Prompt]) -> list[Row]:
    """The same in other words: ``words`` gives those of a move by its number."""
    return [_row(plan, plan.move(made), words(made)) for made in made_together(plan, number)]


def undo_rows(plan: Plan, numbers: Iterable[int]) -> list[Row]:
    """How each of these moves is undone."""
    return [
        _row(plan, plan.move(made), undo_prompt(plan.recipe, plan.move(made), plan.hands(made - 1))) for made in numbers
    ]


def own_moves(plan: Plan, number: int) -> dict[int, Prompt]:
    """What each braider does in this step, in full and without her name; nothing where all do one thing together."""
    return _own(rows(plan, number))


def own_undoing(plan: Plan, number: int) -> dict[int, Prompt]:
    """How each braider undoes what she did in this step."""
    return _own(undo_rows(plan, made_together(plan, number)))


def _own(all_rows: list[Row]) -> dict[int, Prompt]:
    if all(len(row.braiders) > 1 for row in all_rows):
        return {}
    own = {braider: without_call(row) for row in all_rows for braider in row.braiders}
    return dict(sorted(own.items()))


def _row(plan: Plan, move: Move, prompt: Prompt) -> Row:
    return Row(braiders_of(move.action, plan.recipe.braiders), prompt)
