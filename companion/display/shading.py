"""A look at a cord as colours: light from the upper left, crevices dark, the plies of the yarn just to be seen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from companion.display.colours import Rgb
from companion.structure.drawing import Face
from companion.structure.look import NOTHING, Look

LIGHT = np.array([-0.42, -0.48, 0.77])
"""The direction to the light: across, along, towards the eye."""
AMBIENT, DIFFUSE = 0.42, 0.68
DEEP = 0.5
"""How much of its light a yarn keeps at the bottom of the cord."""
GLOSS = 40
UNKNOWN = "#808080"
PLY, PLY_LENGTH, PLY_DEPTH = 3, 1.7, 0.16
"""Plies of a yarn, diameters in which one goes round it, and how much darker it is between two."""


def rgb(fill: str) -> Rgb:
    """The three channels of "#rrggbb"."""
    return int(fill[1:3], 16), int(fill[3:5], 16), int(fill[5:7], 16)


@dataclass(frozen=True, eq=False)
class Light:
    """How a look is lit, whatever its colours: the share of its colour that each spot keeps, and the gloss on it."""

    strength: NDArray[np.float32]
    gloss: NDArray[np.float32]


def light_on(look: Look, plies: bool = True) -> Light:
    """The light on a look; ``plies``: the yarn's plies are to be seen."""
    across, along = look.lean[..., 0], look.lean[..., 1]
    towards = np.sqrt(np.clip(1 - across**2 - along**2, 0.0, 1.0))
    lit = across * LIGHT[0] + along * LIGHT[1] + towards * LIGHT[2]
    strength = AMBIENT + DIFFUSE * np.clip(lit, 0.0, 1.0)
    strength *= 0.45 + 0.55 * np.clip(towards * 2.2, 0.0, 1.0)  # the rim of a yarn is in its neighbours' shadow
    seen = look.tube != NOTHING
    top = float(look.height[seen].max())
    bottom = min(float(look.height[seen].min()), top - 1)
    strength *= DEEP + (1 - DEEP) * np.clip((look.height - bottom) / (0.75 * (top - bottom)), 0.0, 1.0)
    if plies:
        turn = look.run / PLY_LENGTH * 2 * np.pi + np.arcsin(look.aside)
        strength *= 1 - PLY_DEPTH * (0.5 + 0.5 * np.cos(PLY * turn)) ** 4
    gloss = GLOSS * np.clip(lit, 0.0, 1.0) ** 12
    return Light(
        np.where(seen, strength, 1.0).astype(np.float32)[..., None],
        np.where(seen, gloss, 0.0).astype(np.float32)[..., None],
    )


def coloured(
    look: Look, light: Light, colours: Sequence[str], fills: Mapping[str, str], ground: Rgb = (255, 255, 255)
) -> NDArray[np.uint8]:
    """The look as rows of columns of three channels; ``colours``: of each tube. What ``fills`` doesn't have is grey."""
    channels = np.array([rgb(fills.get(colour, UNKNOWN)) for colour in colours] + [ground], dtype=np.float32)
    base = channels[look.tube]  # NOTHING, -1, is the ground's row
    lit: NDArray[np.uint8] = np.clip(base * light.strength + light.gloss, 0, 255).astype(np.uint8)
    return lit


def shaded(
    look: Look, face: Face, fills: Mapping[str, str], ground: Rgb = (255, 255, 255), plies: bool = True
) -> NDArray[np.uint8]:
    """The look of a face as rows of columns of three channels."""
    return coloured(look, light_on(look, plies), [tube.colour for tube in face.tubes], fills, ground)
