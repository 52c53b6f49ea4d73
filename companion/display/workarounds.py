"""Other ways to make some moves, in words: what was found, each sequence with what makes it easy or hard."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from rich.console import RenderableType
from rich.padding import Padding
from rich.text import Text

from companion.recipe.model import Move, Recipe
from companion.structure.workarounds.ease import Ease
from companion.structure.workarounds.report import WorkaroundsReport, counted

Worded = Callable[[Recipe, Move], str]
"""A move of a recipe as the program speaks it."""

NEEDLESS = (
    "A sequence with a needless move, pass or half turn in it doesn't count; two loops on a finger are parted at once, "
    "by a shift."
)
PROVED = "Each was proved: put in place, it is the same braid, every loop as before. What is easy is a rule of thumb."


def workarounds_lines(report: WorkaroundsReport, worded: Worded) -> Iterator[RenderableType]:
    """The answer to ``companion workarounds``."""
    yield Text(report.sentence, style="bold")
    yield Text(f"{report.searched} {NEEDLESS}")
    if report.others:
        yield Text(PROVED)
    yield from _sequence("as it is", report.ease, report.run.recipe, report.run.moves, worded)
    for number, other in enumerate(report.others, start=1):
        yield from _sequence(str(number), other.ease, other.recipe, tuple(map(Move, other.row)), worded)


def _sequence(name: str, easy: Ease, recipe: Recipe, moves: Sequence[Move], worded: Worded) -> Iterator[RenderableType]:
    yield Text(f"\n{name}: {ease_words(easy)}")
    for move in moves:
        yield Padding(Text(worded(recipe, move)), (0, 0, 0, 4))


def ease_words(easy: Ease) -> str:
    """What makes a sequence easy or hard."""
    told = [
        counted(easy.moves, "move"),
        f"through {counted(easy.through, 'loop')}" if easy.through else "",
        f"over or under {counted(easy.over_or_under, 'loop')}" if easy.over_or_under else "",
        f"{counted(easy.turned, 'loop')} turned on the way" if easy.turned else "",
        counted(easy.alone, "turn") + (" by itself" if easy.alone == 1 else " by themselves") if easy.alone else "",
        f"{easy.outward} of the turns outward" if easy.outward else "",
        f"{easy.across} from hand to hand" if easy.across else "",
        f"{easy.braiders} between braiders" if easy.braiders else "",
        f"{counted(easy.within, 'exchange')} on one hand" if easy.within else "",
        f"{easy.ring_or_little} fetched by a ring or little finger" if easy.ring_or_little else "",
        f"{counted(easy.doubled, 'time')} two loops on a finger" if easy.doubled else "",
        f"{counted(easy.walked, 'loop')} shifted" if easy.walked else "",
    ]
    return ", ".join(part for part in told if part)
