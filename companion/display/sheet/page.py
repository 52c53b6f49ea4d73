"""A cord on one page: HTML (HTML Living Standard) that a browser shows and prints, and from which the PDF is made.

Self-contained, without scripts; nothing is fetched. Headings are in order, every drawing tells in words what it shows
(WCAG 2.1, 1.1.1 and 1.3.1), and nothing is told by colour alone (1.4.1): colours have names and letters.
"""

from __future__ import annotations

import base64
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from html import escape

from companion.display.cord_words import caption, layer_words
from companion.display.plain import one_line
from companion.display.sheet.content import Content, content
from companion.display.sheet.cord import cycles_shown, marks_told, strip
from companion.display.sheet.drawing import Drawing
from companion.display.sheet.hands import Look
from companion.display.sheet.letters import capitals, colours_of, ink_on
from companion.display.sheet.moves import Cycle, Step, cycle_of, hands_drawing, step_drawing
from companion.display.sheet.paper import Layout, Paper, loading_width
from companion.display.sheet.style import css
from companion.display.sheet.wording import LEGEND, amounts, shanks
from companion.display.sheet.yarn import BLANK
from companion.loops.hands import loaded
from companion.practice.prompt import Prompt
from companion.recipe.model import Colourway, Recipe
from companion.structure.drawing import float_face
from companion.structure.faces import Seen
from companion.yarn.plan import Plan

PIXEL = 0.75
"""Points of a pixel of CSS."""

_PAGE = """\
<!DOCTYPE html>
<html lang="{language}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>
{style}</style>
</head>
<body>
<header>
<h1>{title}</h1>
<p class="about">{about}</p>
{note}</header>
<main>
<div class="top">
<section class="loading">
<h2>Load the loops</h2>
{loading}
</section>
<section class="cord">
<h2>The cord</h2>
{cord}
</section>
</div>
<div class="work">
<section class="moves">
<h2>Braid one cycle</h2>
<p class="legend">{legend}</p>
<ol>
{moves}
</ol>
</section>
{notes_beneath}</div>
<div class="bottom">
<div>
<section>
<h2>Yarn</h2>
{yarn}
</section>
</div>
<div>
<section>
<h2>Take care</h2>
{cautions}
</section>
</div>
<div>
<section>
<h2>Repeat</h2>
{repeat}
</section>
{notes_aside}</div>
</div>
</main>
<footer>
<p>{source}</p>
</footer>
</body>
</html>
"""
_NOTES = """\
<section class="notes">
<h2>Notes</h2>
{lines}
</section>
"""


@dataclass(frozen=True)
class Sheet:
    """What a page shows: a cord in a colourway, the yarn planned for it if there is a plan.

    ``words`` gives the text of a prompt; ``language`` is theirs (BCP 47).
    """

    recipe: Recipe
    colourway: Colourway
    plan: Plan | None
    words: Callable[[Prompt], str]
    language: str

    @cached_property
    def cycle(self) -> Cycle:
        """Its moves."""
        return cycle_of(self.recipe, self.words)

    @cached_property
    def look(self) -> Look:
        """Its colours."""
        return Look(self.colourway, dict(self.recipe.fills), capitals(colours_of(self.colourway)))

    @cached_property
    def content(self) -> Content:
        """Its words."""
        letters = dict(self.look.letters)
        return content(self.recipe, self.colourway, self.plan, letters, self.words)

    def html(self, paper: Paper, layout: Layout) -> str:
        """The page."""
        told, loading = self.content, loading_width(paper, layout)
        notes = _NOTES.format(lines='<div class="line"></div>' * layout.notes)
        return _PAGE.format(
            language=escape(self.language),
            title=_text(told.title),
            about=_text(told.about),
            note=f'<p class="note">{_text(told.note)}</p>\n' if told.note else "",
            style=css(paper, layout, len(told.title), self.recipe.braiders),
            loading=self._loading(loading),
            cord=self._cord(layout.strip),
            legend=_text(LEGEND),
            moves="\n".join(self._moves(layout)),
            repeat=_paragraphs(told.repeat),
            yarn=_paragraphs(told.yarn),
            cautions=_list(told.cautions),
            notes_beneath=notes if layout.side else "",
            notes_aside="" if layout.side else notes,
            source=_text(told.source),
        )

    def _loading(self, width: float) -> str:
        told, hands = self.content, loaded(self.recipe)
        drawing = hands_drawing(self.cycle, hands, self.look, width, "load", "The loaded hands, as you see them")
        rows = "\n".join(
            f'<tr><th scope="row">{_text(who)}</th>{"".join(f"<td>{_held(cell)}</td>" for cell in cells)}</tr>'
            for who, cells in told.rows
        )
        return "\n".join(
            [
                f"<p>{_text(told.held)}</p>",
                f"<p>{_text(told.colours)}: {self._amounts()}. {_text(told.thick)}</p>",
                drawing.svg(),
                f'<table class="hands">{rows}</table>',
            ]
        )

    def _amounts(self) -> str:
        """How many loops of which colours, each with its swatch: the key to names and letters."""
        return ", ".join(
            f"{count}&nbsp;{''.join(self._swatch(shank) for shank in shanks(colours))}&nbsp;{_text(colours.name)}"
            for colours, count in amounts(self.colourway).items()
        )

    def _swatch(self, colour: str) -> str:
        fill = self.look.fills[colour]
        style = f"background:{fill};color:{ink_on(fill)}"
        return f'<span class="swatch" style="{style}">{_text(self.look.letters[colour])}</span>'

    def _cord(self, height: float) -> str:
        faces = [float_face(self.recipe, self.colourway, seen) for seen in (Seen.UPPER, Seen.LOWER)]
        figures = []
        for face in faces:
            title = f"{caption(face)}, {self.recipe.title}, colourway {self.colourway.name}"
            drawn = strip(face, self.colourway, self.look.fills, f"face-{face.seen.value}", title, height)
            figures.append(f"<figure><figcaption>{_text(caption(face))}</figcaption>{_image(drawn)}</figure>")
        return f'<div class="faces">{"".join(figures)}</div><p>{_text(self.cord_told(height))}</p>'

    def cord_told(self, height: float) -> str:
        """What is said of the faces of the cord, drawn so high."""
        face = float_face(self.recipe, self.colourway, Seen.UPPER)
        marked = marks_told(self.colourway, self.look.fills)
        return f"{layer_words(face)} About {round(cycles_shown(face, height))} cycles.{marked}"

    def _moves(self, layout: Layout) -> Iterator[str]:
        for step in self.cycle.steps:
            drawing = step_drawing(self.cycle, step, self.look, layout.drawing, f"move-{step.first}")
            yield _item(step, drawing.svg())
        if self.cycle.ends_in_sight:
            return
        title = "The hands after one cycle"
        after = hands_drawing(self.cycle, self.cycle.steps[-1].after, self.look, layout.drawing, "after", title)
        yield f'<li><p class="words">After one cycle your hands hold:</p>{after.svg()}</li>'


def _image(drawing: Drawing) -> str:
    """A drawing without letters, as an image of its own: browsers and PDF read that much faster."""
    picture = base64.b64encode(drawing.svg().encode("utf-8")).decode("ascii")
    size = f'width="{drawing.width / PIXEL:.0f}" height="{drawing.height / PIXEL:.0f}"'
    return f'<img src="data:image/svg+xml;base64,{picture}" {size} alt="{_text(drawing.told)}">'


def _item(step: Step, drawing: str) -> str:
    return f'<li><p class="words"><span class="number">{step.number}</span> {_text(step.words)}</p>{drawing}</li>'


def _paragraphs(lines: Iterable[str]) -> str:
    return "\n".join(f"<p>{_blanks(_text(line))}</p>" for line in lines)


def _list(lines: Iterable[str]) -> str:
    return "<ul>" + "".join(f"<li>{_text(line)}</li>" for line in lines) + "</ul>"


def _blanks(words: str) -> str:
    return words.replace(BLANK, '<span class="blank"></span>')


def _held(words: str) -> str:
    """What fingers hold; the letters of a loop stay together at the end of a line."""
    return re.sub(r"\(\S+\)", r"<span>\g<0></span>", _text(words))


def _text(words: str) -> str:
    return escape(one_line(words))
