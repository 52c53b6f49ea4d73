"""The fingers that a move names, each by what the recipe's key says of it."""

from __future__ import annotations

from companion.recipe.model import Action, Exchange, Pass, Shift, Take, Tighten, Turn
from companion.recipe.places import Place


def named_places(action: Action) -> tuple[tuple[Place, str], ...]:
    """Places and keys, in the order in which the move names them; a shift's are ``from`` and ``to``."""
    match action:
        case Take(take, by, through, over, under):
            passed = [(place, key) for key, places in _ways(through, over, under) for place in places]
            return ((take, "take"), (by, "by"), *passed)
        case Pass(loop, to, over, under):
            passed = [(place, key) for key, places in _ways((), over, under) for place in places]
            return ((loop, "pass"), (to, "to"), *passed)
        case Exchange(mover, other, passing):
            return ((mover, f"exchange, {passing.value}"), (other, "exchange"))
        case Turn(place):
            return ((place, "turn"),)
        case Shift(steps):
            return tuple(named for start, to in steps for named in ((start, "from"), (to, "to")))
        case Tighten():
            return ()


def _ways(
    through: tuple[Place, ...], over: tuple[Place, ...], under: tuple[Place, ...]
) -> tuple[tuple[str, tuple[Place, ...]], ...]:
    return ("through", through), ("over", over), ("under", under)
