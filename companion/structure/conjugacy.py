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

LARGEST = 200_000
"""Letters times the square of the strands of the largest word that is searched: its normal form takes half a second."""

MOST_WORK = 1_500_000
"""Work of one search before it is given up: some two seconds. A unit is a strand of a factor, about a microsecond."""


class _Explored:
    """Conjugates of a braid, each with the conjugate and the simple braid by which it was reached."""

    def __init__(self, word: BraidWord, most_work: int) -> None:
        self.root = normal_form(word)
        self.most_work = most_work
        self.came_from: dict[NormalForm, tuple[NormalForm, Simple]] = {}
        self.work = 0

    @property
    def exhausted(self) -> bool:
        """Whether all the work that was allowed has been done."""
        return self.work > self.most_work

    def conjugate(self, form: NormalForm, simple: Simple) -> NormalForm:
        """A conjugate of a form that was reached before."""
        self.work += form.strands * (3 * len(form.factors) + 6)
        reached = conjugated(form, simple)
        if reached != self.root and reached not in self.came_from:
            self.came_from[reached] = (form, simple)
        return reached

    def smallest_steps(self, form: NormalForm) -> list[Simple]:
        """Simple braids that lead to the neighbours of a form that no conjugation shortens."""
        # Every step passes all factors, forwards and undone, at least twice.
        self.work += form.strands**2 * (4 * len(form.factors) + 4)
        return list(dict.fromkeys(smallest_step(form, crossing(k, form.strands)) for k in range(1, form.strands)))

    def circuit(self, form: NormalForm) -> list[NormalForm]:
        """Slide until a form comes round; the forms that do, or all that were met where the work is exhausted."""
        walked: dict[NormalForm, None] = {}
        while form not in walked:
            if self.exhausted:
                return list(walked)
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


def find_carrier(one: BraidWord, other: BraidWord, most_work: int = MOST_WORK) -> BraidWord | None:
    """A braid c with c^-1 * one * c = other, proved by the fingerprint; None where the search found none.

    None proves nothing. Raises ValueError where the strand counts differ.
    """
    if one.strands != other.strands:
        raise ValueError(f"braids on {one.strands} and {other.strands} strands can't be conjugate")
    if max(len(one), len(other)) * one.strands**2 > LARGEST:
        return None
    there, here = _Explored(other, most_work), _Explored(one, most_work)
    goals = set(there.circuit(there.root))
    met = _meet(here, goals)
    if met is None:
        return None
    carrier = (here.carrier(met) * there.carrier(met).inverse).reduced
    return carrier if same_braid(carrier.inverse * one * carrier, other) else None


def _meet(explored: _Explored, goals: set[NormalForm]) -> NormalForm | None:
    """A goal that is reached from the root, or None; neighbours are reached by the smallest steps."""
    queue = deque(explored.circuit(explored.root))
    seen = set(queue)
    while queue:
        form = queue.popleft()
        if form in goals:
            return form
        if explored.exhausted:
            continue
        for simple in explored.smallest_steps(form):
            for reached in explored.circuit(explored.conjugate(form, simple)):
                if reached not in seen:
                    seen.add(reached)
                    queue.append(reached)
    return None
