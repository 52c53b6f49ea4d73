"""The cords that may have been seen, one below the other: the best first, with what doesn't fit."""

from __future__ import annotations

import shlex
from collections.abc import Iterator

from rich.console import RenderableType
from rich.text import Text

from companion.display.cords import fingers_text
from companion.structure.cord_facts import RidgesSeen
from companion.structure.recognition import Candidate, Recognition
from companion.structure.recognition_report import RecognitionReport


def recognition_lines(report: RecognitionReport, files: dict[str, str]) -> Iterator[RenderableType]:
    """What fits; ``files``: how each recipe is named on the command line."""
    yield Text(report.sentence)
    for caution in report.cautions:
        yield Text(f"! {caution}")
    for number, (one, layout) in enumerate(report.shown, 1):
        yield Text(f"{number}. {one.recipe.name}, {_colours(one)}", style="bold")
        yield Text(f"   {fingers_text(layout, one.recipe.braiders)}")
        yield from (Text(f"   {line}") for line in _fits(report.recognition, one))
    left = len(report.recognition.candidates) - len(report.shown)
    if left:
        yield Text(f"{left} more are not shown.")
    if report.next_look:
        yield Text(report.next_look)
    if report.shown:
        yield Text(pick(report, files))


def told_of(recognition: Recognition, one: Candidate) -> tuple[str, ...]:
    """What a picture's words tell of a cord: its colourway, and what fits of what was seen."""
    return (_colours(one), *(line[:1].upper() + line[1:] + "." for line in _fits(recognition, one)))


def pick(report: RecognitionReport, files: dict[str, str]) -> str:
    """How to braid the first one."""
    best = report.shown[0][0]
    words = ["companion", "practise", files[best.recipe.name], "--colourway", best.colourway]
    return f"To braid number 1, type: {shlex.join(words)}"


def _colours(one: Candidate) -> str:
    calls = ", ".join(f"its {own} is your {seen}" for own, seen in one.renamed)
    return f"{one.colourway} ({calls})" if calls else one.colourway


def _fits(recognition: Recognition, one: Candidate) -> Iterator[str]:
    """The facts that fit, and those that don't."""
    for fitting, words in ((True, "fits"), (False, "DOESN'T FIT")):
        told = [fact.words for fact, fits in zip(recognition.facts, one.fits, strict=True) if fits is fitting]
        if told:
            yield f"{words}: {'; '.join(told)}"
    view = next(iter(one.views))
    for fact, fits in zip(recognition.facts, one.fits, strict=True):
        if isinstance(fact, RidgesSeen) and not fits and fact.nearly_fits(view):
            has = fact.told(len(view.face(fact.face)))
            yield f"nearly: it has {has}, and one is easily overlooked or seen double"
    if one.alike:
        yield f"looks the same: {'; '.join(f'{recipe}, {name}' for recipe, name in one.alike)}"
