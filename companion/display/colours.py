"""Fills that can be read: the text colour on a fill is the one with the greater contrast.

Relative luminance and contrast ratio as defined by the Web Content Accessibility Guidelines (WCAG)
2.1, W3C Recommendation 2018, "relative luminance" and "contrast ratio". Of black and white the
better one always reaches at least 4.58 : 1, above the 4.5 : 1 that success criterion 1.4.3 asks for.
"""

from __future__ import annotations

from rich.color import Color, ColorSystem
from rich.style import Style

BLACK, WHITE = (0, 0, 0), (255, 255, 255)
Rgb = tuple[int, int, int]
_SYSTEMS = {"standard": ColorSystem.STANDARD, "256": ColorSystem.EIGHT_BIT, "windows": ColorSystem.WINDOWS}


def relative_luminance(rgb: Rgb) -> float:
    """The relative luminance of an sRGB colour (0 to 255 each): 0 for black, 1 for white."""
    red, green, blue = (_linear(channel / 255) for channel in rgb)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(channel: float) -> float:
    # 0.04045 is the sRGB threshold (IEC 61966-2-1); WCAG 2.1 prints 0.03928, which is the same for 8 bits.
    return channel / 12.92 if channel <= 0.04045 else float(((channel + 0.055) / 1.055) ** 2.4)


def contrast_ratio(one: Rgb, other: Rgb) -> float:
    """The contrast of two colours, 1 (equal) to 21 (black on white)."""
    low, high = sorted((relative_luminance(one), relative_luminance(other)))
    return (high + 0.05) / (low + 0.05)


def text_on(fill: Rgb) -> Rgb:
    """Black or white, whichever can be read better on the fill."""
    return max(BLACK, WHITE, key=lambda text: contrast_ratio(text, fill))


def fill_style(fill: str | None, colour_system: str | None) -> Style:
    """The style of a fill ("#rrggbb") with its text.

    ``colour_system`` is rich's name for what the terminal can show. Where it shows no colours (None),
    or the colour is unknown, a fill is reversed: the name on it tells the colour.
    """
    if fill is None or colour_system is None:
        return Style(reverse=True, bold=True)
    colour = Color.parse(fill)
    if colour_system in _SYSTEMS:
        # The text has to suit the nearest colour that the terminal has, not the one that was asked for.
        colour = colour.downgrade(_SYSTEMS[colour_system])
    red, green, blue = colour.get_truecolor()
    text = text_on((red, green, blue))
    return Style(color=Color.from_rgb(*text), bgcolor=colour, bold=True)
