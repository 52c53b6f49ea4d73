"""What a picture of a cord says in words: captions, the description for those who don't see it, letters for colours."""

from __future__ import annotations

from collections.abc import Iterable
from string import ascii_uppercase, digits

from companion.structure.colour_share import colour_shares, percents
from companion.structure.drawing import Face
from companion.structure.edges import Edge, Layers
from companion.structure.faces import Seen
from companion.structure.tightening.cord import Tight

CAPTIONS = {Seen.UPPER: "Upper face", Seen.LOWER: "Lower face, turned over"}
EDGE_WORDS = {Edge.OPEN: "open (a slit)", Edge.CLOSED: "closed", Edge.PARTLY: "partly closed"}


def caption(face: Face) -> str:
    """Which face it is."""
    return CAPTIONS[face.seen]


def layer_words(face: Face) -> str:
    """How the layers hang together, one sentence; left and right as the face is seen."""
    left, right = (EDGE_WORDS[edge] for edge in face.edges)
    if face.layers is Layers.DIVIDED:
        return "Two cords, one above the other, joined nowhere."
    if left == right:
        return f"Both edges {left}."
    return f"Left edge {left}, right edge {right}."


def share_words(face: Face) -> str:
    """How much of the face each colour covers."""
    shares = percents(colour_shares(face))
    return f"{caption(face)}: {', '.join(f'{colour} {percent} %' for colour, percent in shares.items())}."


def face_words(face: Face) -> str:
    """A face in words: its edges and the colours that are seen."""
    colours = ", ".join(dict.fromkeys(tube.colour for tube in face.tubes))
    drawn = "as it lies tightened" if face.tightened else "laid out from the recipe"
    return f"{caption(face)}: {layer_words(face)} Colours: {colours}. The strands are {drawn}."


def initials(colours: Iterable[str]) -> dict[str, str]:
    """One letter for each colour: its first that no other has, else any letter or digit left over."""
    letters: dict[str, str] = {}
    for colour in dict.fromkeys(colours):
        wanted = [letter for letter in colour if letter.isascii() and letter.isalnum()]
        free = (one for one in [*wanted, *ascii_uppercase, *digits] if one not in letters.values())
        letters[colour] = next(free, "?")
    return letters


def tight_words(cord: Tight) -> str:
    """What came of drawing a cord tight: its measures in yarns, or why it is shown as it is laid out."""
    if cord.measures is not None:
        of = cord.measures
        return (
            f"drawn tight, {of.take_up:.2f} of yarn to 1 of cord, {of.width:.1f} yarns wide, {of.thickness:.1f} thick, "
            f"{of.cycle:.1f} yarns of length to a cycle (simulated; the yarns overlap by {of.overlap:.3f} at the most)."
        )
    why = "a yarn may have passed through another" if not cord.kept else "the yarns didn't come to rest"
    return f"it can't be shown drawn tight, because {why} in the simulation; it is shown as laid out from the recipe."
