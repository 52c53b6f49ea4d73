"""What ``companion recognise`` tells, with stable keys, as in companion.structure.report."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from companion.loops.layouts import Layout
from companion.structure.recognition import MOST_TRIED, Candidate, Recognition
from companion.structure.report import Json

LOOKS = {
    "edges": "whether the edges are open",
    "ridges": "how many ridges it has",
    "layers": "whether its layers join",
    "lower ridges": "how many ridges the lower face has",
}


@dataclass(frozen=True)
class RecognitionReport:
    """The best of what may have been seen, at most ``limit``."""

    recognition: Recognition
    limit: int

    @cached_property
    def shown(self) -> tuple[tuple[Candidate, Layout], ...]:
        """Those that are shown, each with how it is loaded."""
        return tuple((one, one.layout) for one in self.recognition.candidates[: self.limit])

    @property
    def sentence(self) -> str:
        """How many fit, and how well."""
        first = self.recognition.first
        if not first:
            return "There is nothing to choose from: no recipe could be tried."
        one = len(first) == 1
        if first[0].misfits == 0:
            return "One cord fits all that was seen." if one else f"{len(first)} cords fit all that was seen."
        facts = len(self.recognition.facts)
        fit = "one fits" if one else f"{len(first)} fit"
        return f"No cord fits all that was seen; {fit} {facts - first[0].misfits} of {facts} facts."

    @property
    def next_look(self) -> str:
        """Where to look next, or that no look tells more."""
        found = self.recognition
        if found.ask_for:
            look = LOOKS.get(found.ask_for, f"{found.stitches} stitches of the {found.ask_for}")
            return f"Look next at {look}: that leaves {found.leaves} at the most."
        if len(found.first) > 1:
            return "These look alike in all that could be asked for: edges, layers, ridges and their colours."
        return ""

    @property
    def cautions(self) -> tuple[str, ...]:
        """Where not everything was tried."""
        return tuple(
            f"{name} has {number} patterns or more of these colours; only the first {MOST_TRIED} were tried."
            for name, number in self.recognition.cut
        )

    def as_json(self) -> Json:
        """The stable keys of ``companion recognise --json``."""
        words = [fact.words for fact in self.recognition.facts]
        return {
            "facts": words,
            "fitting_best": len(self.recognition.first),
            "candidates": [
                {
                    "recipe": one.recipe.name,
                    "colourway": one.colourway,
                    **({"pattern_number": one.number} if one.number else {}),
                    "layout": {place.name(one.recipe.braiders): colours.name for place, colours in layout.fingers},
                    "fits": [{"fact": fact, "fits": fits} for fact, fits in zip(words, one.fits, strict=True)],
                    "renamed": dict(one.renamed),
                    "looks_the_same": [{"recipe": recipe, "colourway": name} for recipe, name in one.alike],
                }
                for one, layout in self.shown
            ],
            "not_all_tried": [{"recipe": name, "patterns": number} for name, number in self.recognition.cut],
            "ask_for": self.recognition.ask_for,
            "stitches": self.recognition.stitches,
            "leaves_at_most": self.recognition.leaves,
        }
