"""Whether two braids are conjugate: a bounded search for the braid that carries one to the other.

Both are slid (companion.structure.garside) until they come round; then the neighbours of one are
explored. What is found is proved by the fingerprint; what isn't found within the bounds stays open.
"""

from __future__ import annotations

from collections import deque

from companion.structure.equality import same_braid
from companion.structure.garside import (
    NormalForm,
    Simple,
    conjugated,
    crossing,
    crossings_of,
    normal_form,
    preferred_prefix,
    smallest_step,
)
from companion.structure.word import BraidWord

LONGEST_WORD = 600
"""Letters of the longest word that is searched."""

MOST_SLIDES = 5000
"""Conjugations in one search before it is given up: some seconds at the worst."""


class _Explored:
    """Conjugates of a braid, each with the conjugate and the simple braid by which it was reached."""

    def __init__(self, word: BraidWord) -> None:
        self.root = normal_form(word)
        self.came_from: dict[NormalForm, tuple[NormalForm, Simple]] = {}
        self.conjugations = 0

    def conjugate(self, form: NormalForm, simple: Simple) -> NormalForm:
        """A conjugate of a form that was reached before."""
        self.conjugations += 1
        reached = conjugated(form, simple)
        if reached != self.root and reached not in self.came_from:
            self.came_from[reached] = (form, simple)
        return reached

    def circuit(self, form: NormalForm) -> list[NormalForm]:
        """Slide until a form comes round; the forms that do."""
        walked: dict[NormalForm, None] = {}
        while form not in walked:
            walked[form] = None
            form = self.conjugate(form, preferred_prefix(form))
        steps = list(walked)
        return steps[steps.index(form) :]

    def carrier(self, form: NormalForm) -> BraidWord:
        """The braid c for which ``form`` is the root with c undone before it and made after it."""
        letters: tuple[int, ...] = ()
        while form != self.root:
            form, simple = self.came_from[form]
            letters = crossings_of(simple) + letters
        return BraidWord(letters, self.root.strands)


def find_carrier(one: BraidWord, other: BraidWord, most_slides: int = MOST_SLIDES) -> BraidWord | None:
    """A braid c with c^-1 * one * c = other, proved by the fingerprint; None where the search found none.

    None proves nothing. Raises ValueError where the strand counts differ.
    """
    if one.strands != other.strands:
        raise ValueError(f"braids on {one.strands} and {other.strands} strands can't be conjugate")
    if max(len(one), len(other)) > LONGEST_WORD:
        return None
    there, here = _Explored(other), _Explored(one)
    goals = set(there.circuit(there.root))
    met = _meet(here, goals, most_slides)
    if met is None:
        return None
    carrier = (here.carrier(met) * there.carrier(met).inverse).reduced
    return carrier if same_braid(carrier.inverse * one * carrier, other) else None


def _meet(explored: _Explored, goals: set[NormalForm], most_slides: int) -> NormalForm | None:
    """A goal that is reached from the root, or None; neighbours are reached by the smallest steps."""
    strands = explored.root.strands
    crossings = [crossing(k, strands) for k in range(1, strands)]
    queue = deque(explored.circuit(explored.root))
    seen = set(queue)
    while queue:
        form = queue.popleft()
        if form in goals:
            return form
        if explored.conjugations > most_slides:
            continue
        for simple in dict.fromkeys(smallest_step(form, one) for one in crossings):
            for reached in explored.circuit(explored.conjugate(form, simple)):
                if reached not in seen:
                    seen.add(reached)
                    queue.append(reached)
    return None
