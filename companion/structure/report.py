"""What ``companion check`` and ``companion compare`` tell: frozen values with stable keys, and a sentence for people.

The front door only prints them; ``as_json`` gives what its ``--json`` prints.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from companion.loops.cycle import colour_repeat, loop_order, orbits, strand_order, strand_permutation
from companion.loops.rehearse import problems
from companion.recipe.model import Recipe
from companion.structure.comparison import Comparison, Found, Verdict, Witness, compare
from companion.structure.edges import Edge, Layers, edges, layer_orbits, layers
from companion.structure.faces import Seen, faces_alike, ridges
from companion.structure.word import BraidWord, word_of_cycle

Json = dict[str, object]


@dataclass(frozen=True)
class ColourwayReport:
    """A colourway: cycles until the fingers look as at the start, and how many loops of each colour it takes."""

    name: str
    colour_repeat: int
    loops_per_colour: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class CheckReport:
    """What cord a recipe makes. Strands are shanks, two for each loop; orbits list shank positions.

    Shank positions count from 0 at the left: 2i is the upper, 2i + 1 the lower shank of the loop on place i.
    ``note`` is the recipe's own.
    """

    title: str
    loops: int
    strands: int
    word: BraidWord
    loop_order: int
    strand_order: int
    strand_orbits: tuple[tuple[int, ...], ...]
    colourways: tuple[ColourwayReport, ...]
    layers: Layers
    separate_layers: int
    left_edge: Edge
    right_edge: Edge
    upper_ridges: int
    lower_ridges: int
    faces_alike: bool
    problems: tuple[str, ...] = ()
    note: str = ""

    @property
    def crossings_per_cycle(self) -> int:
        """How often two shanks cross in one cycle."""
        return len(self.word)

    @property
    def sentence(self) -> str:
        """The verdict in one sentence."""
        if self.layers is Layers.DIVIDED:
            body = f"{self.separate_layers} separate layers, one above the other"
        elif self.left_edge is self.right_edge:
            body = f"One cord, both edges {self.left_edge.value}"
        else:
            body = f"One cord, left edge {self.left_edge.value}, right edge {self.right_edge.value}"
        if self.upper_ridges == self.lower_ridges:
            return f"{body}; {_counted(self.upper_ridges, 'ridge')} on each face."
        return f"{body}; {_counted(self.upper_ridges, 'ridge')} on the upper face, {self.lower_ridges} on the lower."

    def as_json(self) -> Json:
        """The stable keys of ``companion check --json``."""
        return {
            "title": self.title,
            "loops": self.loops,
            "strands": self.strands,
            "crossings_per_cycle": self.crossings_per_cycle,
            "word": list(self.word.letters),
            "loop_order": self.loop_order,
            "strand_order": self.strand_order,
            "strand_orbits": [list(orbit) for orbit in self.strand_orbits],
            "colourways": {
                one.name: {"colour_repeat": one.colour_repeat, "loops_per_colour": dict(one.loops_per_colour)}
                for one in self.colourways
            },
            "layers": self.layers.value,
            "edges": {"left": self.left_edge.value, "right": self.right_edge.value},
            "ridges": {"upper": self.upper_ridges, "lower": self.lower_ridges},
            "faces_alike": self.faces_alike,
            "problems": list(self.problems),
            "note": self.note,
        }


@dataclass(frozen=True)
class BrokenReport:
    """A recipe that can't be braided: only its title, as far as it is known, and what is wrong."""

    title: str
    problems: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """The verdict in one sentence."""
        return f"This recipe can't be braided yet: {_counted(len(self.problems), 'problem')}."

    def as_json(self) -> Json:
        """The same keys as a whole report's, as far as they are known."""
        return {"title": self.title, "problems": list(self.problems)}


@dataclass(frozen=True)
class ComparisonReport:
    """What is known of two cords, in a braider's words."""

    comparison: Comparison

    @property
    def how(self) -> tuple[str, ...]:
        """What must be done to the second cord to get the first; empty where there is no witness."""
        return tuple(part for witness in self.comparison.witness for part in _how(witness))

    @property
    def sentence(self) -> str:
        """The verdict in one sentence."""
        found = self.comparison
        match found.verdict:
            case Verdict.SAME:
                return f"The same cord: {', '.join(self.how)}."
            case Verdict.MIRROR_IMAGE:
                return f"Mirror images of each other: {', '.join(self.how)}."
            case Verdict.DIFFERENT:
                return f"Different cords: {_WORDS[found.differences[0].name]}."
            case Verdict.NOT_DECIDED:
                return f"Not decided: {_undecided(found)}."

    def as_json(self) -> Json:
        """The stable keys of ``companion compare --json``."""
        return {
            "verdict": self.comparison.verdict.value,
            "how": list(self.how),
            "invariants": [
                {
                    "name": one.name,
                    "first": one.first,
                    "second": one.second,
                    "of_mirror_image": one.of_mirror_image,
                }
                for one in self.comparison.differences
            ],
        }


def check(recipe: Recipe) -> CheckReport | BrokenReport:
    """What cord a recipe makes, or why its cycle can't be braided over and over."""
    broken = problems(recipe)
    if broken:
        return BrokenReport(recipe.title, tuple(problem.message for problem in broken))
    word = word_of_cycle(recipe)
    left_edge, right_edge = edges(recipe)
    return CheckReport(
        title=recipe.title,
        loops=len(recipe.loops),
        strands=word.strands,
        word=word,
        loop_order=loop_order(recipe),
        strand_order=strand_order(recipe),
        strand_orbits=orbits(strand_permutation(recipe)),
        colourways=tuple(
            ColourwayReport(
                one.name, colour_repeat(recipe, one), tuple(Counter(colours.name for colours in one.loops).items())
            )
            for one in recipe.colourways
        ),
        layers=layers(recipe),
        separate_layers=len(layer_orbits(word)),
        left_edge=left_edge,
        right_edge=right_edge,
        upper_ridges=len(ridges(recipe, Seen.UPPER)),
        lower_ridges=len(ridges(recipe, Seen.LOWER)),
        faces_alike=faces_alike(recipe),
        problems=tuple(_idle_loops(recipe, word)),
        note=recipe.note,
    )


def compare_recipes(first: Recipe, second: Recipe) -> ComparisonReport:
    """Compare two recipes that can be braided. Raises MoveError where a move can't be made."""
    return ComparisonReport(compare(first, second))


def _idle_loops(recipe: Recipe, word: BraidWord) -> list[str]:
    """Loops that never pass another one: they lie beside the cord."""
    met = {strand // 2 for over, under, _ in word.crossings() if over // 2 != under // 2 for strand in (over, under)}
    idle = [place for at, place in enumerate(recipe.loops) if at not in met]
    return [f"the loop on {place.name(recipe.braiders)} never passes another loop" for place in idle]


_WORDS = {
    "strands": "they have different numbers of loops",
    "strand orbits": "their shanks come back to their places in groups of other sizes",
    "sum of the signs of the crossings": "their strands cross from the left and from the right in other proportions",
    "winding of the strands round each other": "their strands wind round each other in another way",
    "traces of the Burau matrix": "no start, turn or end brings one to the other; a number that never changes differs",
}
"""What the difference of an invariant means to a braider."""

_HOW = {
    Found.WORD: "the strands cross in the same order",
    Found.ANOTHER_START: "",
    Found.HALF_TURN_OF_ONE_LOOP: "with one loop put on half a turn round",
    Found.HALF_TURN_OF_ALL_LOOPS: "with every loop put on half a turn round",
    Found.SEARCH: "with the strands arranged another way before the first move",
}


def _how(witness: Witness) -> list[str]:
    first, second = witness.cycles
    parts = [
        "turned over" if witness.turned_over else "",
        "braided from the other end" if witness.end_for_end else "",
        _start(witness),
        f"{_counted(first, 'cycle')} of the first for {second} of the second" if (first, second) != (1, 1) else "",
        "on other fingers" if witness.relabelled else "",
    ]
    told = [part for part in parts if part]
    how = _HOW[witness.found]
    # The plain reason needs saying only where there is no other.
    return told if told and witness.found in (Found.WORD, Found.ANOTHER_START) else [how, *told]


def _start(witness: Witness) -> str:
    if witness.start == 0:
        return ""
    return (
        f"starting with move {witness.move} of the second" if witness.move else "starting within a move of the second"
    )


def _undecided(found: Comparison) -> str:
    if not found.differences:
        return "nothing tells the cords apart for certain, and no way was found to bring one to the other"
    if found.differences[0].of_mirror_image:
        return "they are not mirror images of each other, but whether they are the same cord stays open"
    return "they are not the same cord, but whether they are mirror images of each other stays open"


def _counted(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"
