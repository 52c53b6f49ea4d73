"""What the companion says, before it is sound or text: a prompt is a row of short parts.

The pure core names phrases by key; the phrasebook of a language turns a key into words, and a
voice turns words into sound. Numbers and words of the recipe (colours, a user's own wording)
travel as they are, because only the edge knows how a language speaks them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

ALL = 0
"""Said to everyone."""


@dataclass(frozen=True)
class Phrase:
    """A phrase of the phrasebook, by key, for instance ``right_index`` -> "Right index.".

    ``to`` in every part: the braider whom it is said to, counted from 1, each of whom has a voice of her own; or ALL.
    """

    key: str
    to: int = ALL


@dataclass(frozen=True)
class Number:
    """A whole number from 0 upwards, spoken as a count."""

    value: int
    to: int = ALL


@dataclass(frozen=True)
class Words:
    """Words that come from the recipe: a colour's name, a title, a wording of the user's own.

    ``loops``: of so many loops it is the colour, which a language may have a word of its own for; 0: it is no colour.
    """

    text: str
    to: int = ALL
    loops: int = 0


Part = Phrase | Number | Words


@dataclass(frozen=True)
class Prompt:
    """One thing said in one breath. An empty prompt is silence."""

    parts: tuple[Part, ...]

    def __add__(self, other: Prompt) -> Prompt:
        """Both prompts, one after the other."""
        return Prompt(self.parts + other.parts)

    def said_to(self, braider: int) -> Prompt:
        """The same said to one braider."""
        return Prompt(tuple(replace(part, to=braider) for part in self.parts))


SILENCE = Prompt(())
"""Nothing is said."""
