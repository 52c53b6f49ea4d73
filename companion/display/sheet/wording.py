"""What a sheet says besides the moves: how the loops are loaded, when it repeats, where it comes from, what to mind."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from itertools import groupby

from companion.loops.cycle import colour_repeat, loop_order
from companion.loops.hands import Hands, HeldLoop, loaded
from companion.recipe.model import Colours, Colourway, Recipe, Sureness
from companion.recipe.places import BRAIDER_NAMES, Finger, Side

CAUTIONS = (
    "If fingers tingle, go numb or hurt, stop and rest; ask a clinician if it stays. Rest every half hour.",
    "Keep cords, loops and yarn away from small children: they can strangle.",
    "Braided cords carry no person and no load.",
    "Rules of your school, workshop or house come first.",
)
SURE = {
    Sureness.PUBLISHED: "published",
    Sureness.FROM_MEMORY: "written down from memory of it, not compared with it",
    Sureness.COMMON_PRACTICE: "common practice of the trade",
    Sureness.OWN: "the author's own",
}
LEGEND = (
    "A ring is a loop, upper shank above, lower one beneath, in the colours of the first cycle. The black finger"
    " follows the full line, through, over or under loops, to the loop it fetches. Dashed: where loops go and will lie."
    " Half-circle arrow: the loop turns half round."
)


def held_words(colours: Colours, letters: dict[str, str]) -> str:
    """A loop's colours by name and letter: ``light (L)``, ``light over dark (L/D)``."""
    return f"{colours.name} ({'/'.join(letters[shank] for shank in shanks(colours))})"


def shanks(colours: Colours) -> tuple[str, ...]:
    """The colours of a loop, each once."""
    return (colours.upper,) if colours.solid else (colours.upper, colours.lower)


def loading_rows(
    recipe: Recipe, colourway: Colourway, letters: dict[str, str]
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """What every finger gets, from the little finger to the thumb, the order in which hands are loaded.

    One braider has a row for each hand, several have a row for each of them, with a cell for each hand.
    """
    hands = loaded(recipe)
    if recipe.braiders == 1:
        told = [(side, _told(_of_a_hand(hands, 1, side), colourway, letters)) for side in Side]
        return tuple((f"{side.value} hand".capitalize(), (fingers,)) for side, fingers in told if fingers)
    rows = []
    for braider in range(1, recipe.braiders + 1):
        told = [(side, _told(_of_a_hand(hands, braider, side), colourway, letters)) for side in Side]
        cells = tuple(f"{side.value}: {fingers}" for side, fingers in told if fingers)
        rows.append((BRAIDER_NAMES[braider - 1].capitalize(), cells))
    return tuple(rows)


def _told(held: list[HeldLoop], colourway: Colourway, letters: dict[str, str]) -> str:
    groups = groupby(held, key=lambda one: one.colours(colourway))
    return "; ".join(_group(group, colours, letters) for colours, group in groups)


def _of_a_hand(hands: Hands, braider: int, side: Side) -> list[HeldLoop]:
    held = [loop for loop in hands.loops if (loop.place.braider, loop.place.side) == (braider, side)]
    return sorted(held, key=lambda loop: list(Finger).index(loop.place.finger), reverse=True)


def _group(group: Iterable[HeldLoop], colours: Colours, letters: dict[str, str]) -> str:
    return f"{', '.join(loop.place.finger.value for loop in group)}: {held_words(colours, letters)}"


def amounts(colourway: Colourway) -> dict[Colours, int]:
    """How many loops there are of which colours, in the order of the loops."""
    return dict(Counter(colourway.loops))


def thick_words(recipe: Recipe, colours: Iterable[str]) -> str:
    """Which colours are of thicker or thinner yarn; empty where none is."""
    told = [
        f"{name} {recipe.thickness(name):g} times as thick as usual" for name in colours if recipe.thickness(name) != 1
    ]
    return f"Yarn: {', '.join(told)}." if told else ""


def repeat_lines(recipe: Recipe, colourway: Colourway) -> tuple[str, ...]:
    """What a cycle is, and after how many of them things come round."""
    moves, colours, loops = len(recipe.cycle), colour_repeat(recipe, colourway), loop_order(recipe)
    return (
        f"One cycle: moves 1 to {moves}, then again from 1.",
        f"Colours come round after {_cycles(colours)}: one repeat.",
        f"Loops are back on their fingers after {_cycles(loops)}.",
    )


def _cycles(number: int) -> str:
    return "every cycle" if number == 1 else f"{number} cycles"


def source_line(recipe: Recipe) -> str:
    """Where the recipe comes from, and how sure that is."""
    if recipe.sure is Sureness.COMMON_PRACTICE and recipe.source.startswith("common practice"):
        return f"Source: {recipe.source}."
    if recipe.source == recipe.sure.value:
        return f"Source: {recipe.source} ({SURE[recipe.sure]})."
    return f"Source: {recipe.source.rstrip('.')}. How sure: {recipe.sure.value} ({SURE[recipe.sure]})."
