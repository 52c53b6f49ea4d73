"""A cord as a PNG picture (W3C, Portable Network Graphics, third edition): faces side by side, captions above them."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from companion.display.cord_words import caption
from companion.display.shading import shaded
from companion.structure.drawing import Face
from companion.structure.look import look_at

SCALE, LEAST_SCALE = 26, 4
"""Pixels of a yarn's diameter: as many as this, or as fit the longest picture, but at least so many."""
LONGEST = 6000
"""Pixels along the cord."""
FINER = 2
"""Each pixel is the mean of so many spots each way."""
MARGIN, CAPTION = 24, 34
GROUND, INK = (255, 255, 255), (26, 26, 26)


def png_bytes(faces: Sequence[Face], fills: Mapping[str, str], repeats: float) -> bytes:
    """The file's bytes. ``fills``: "#rrggbb" of every colour; ``repeats``: colour repeats, may end within one."""
    written = io.BytesIO()
    png_image(faces, fills, repeats).save(written, "png")
    return written.getvalue()


def png_image(faces: Sequence[Face], fills: Mapping[str, str], repeats: float) -> Image.Image:
    """The picture before it is written."""
    scale = min(SCALE, max(LEAST_SCALE, LONGEST / (repeats * faces[0].length)))
    drawn = [face_pixels(face, fills, repeats, scale) for face in faces]
    font = ImageFont.load_default(16)
    columns = [
        max(pixels.shape[1], int(font.getlength(caption(face))) + 1) for face, pixels in zip(faces, drawn, strict=True)
    ]
    width = sum(columns) + MARGIN * (len(drawn) + 1)
    picture = Image.new("RGB", (width, drawn[0].shape[0] + 2 * MARGIN + CAPTION), GROUND)
    pen = ImageDraw.Draw(picture)
    left = MARGIN
    for face, pixels, wide in zip(faces, drawn, columns, strict=True):
        pen.text((left, MARGIN), caption(face), INK, font)
        picture.paste(Image.fromarray(pixels), (left, MARGIN + CAPTION))
        left += wide + MARGIN
    return picture


def face_pixels(face: Face, fills: Mapping[str, str], repeats: float, scale: float) -> NDArray[np.uint8]:
    """One face in rows of pixels of three channels, ``scale`` pixels to a diameter, the cord growing downwards."""
    rows = max(round(face.length * scale), 1) * FINER
    columns = max(round(face.width * scale), 1) * FINER
    fine = shaded(look_at(face, rows, columns), face, fills, GROUND)
    one = fine.reshape(rows // FINER, FINER, columns // FINER, FINER, 3).mean(axis=(1, 3), dtype=np.float32)
    length = max(round(one.shape[0] * repeats), 1)
    return np.resize(one.astype(np.uint8), (length, *one.shape[1:]))
