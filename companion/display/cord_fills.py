"""What colours of yarn look like on screen and paper, also those that a recipe gives no fill for."""

from __future__ import annotations

from collections.abc import Iterable

from companion.recipe.model import Colours, Recipe

OTHER_FILLS = ("#3b6ea5", "#d9a441", "#4f7d4a", "#8c5a9e", "#c4563f", "#5c5c5c", "#79b4b0", "#e3b7c0")
"""For colours that neither the recipe nor CSS knows."""


def all_fills(recipe: Recipe, loops: Iterable[Colours]) -> dict[str, str]:
    """A fill for every colour of the loops: the recipe's, else that of its name in CSS, else one of our own."""
    fills = dict(recipe.fills)
    spare = list(OTHER_FILLS)
    for name in dict.fromkeys(shank for loop in loops for shank in (loop.upper, loop.lower)):
        if name not in fills:
            fills[name] = _css_fill(name) or spare[0]
            spare = spare[1:] + spare[:1] if fills[name] == spare[0] else spare
    return fills


def _css_fill(name: str) -> str:
    """The fill of a colour name of CSS ("dark green", "crimson"), empty where it is none."""
    from PIL import ImageColor  # only here: most cords have fills of their own

    try:
        red, green, blue = ImageColor.getrgb(name.replace(" ", ""))[:3]
    except ValueError:
        return ""
    return f"#{red:02x}{green:02x}{blue:02x}"
