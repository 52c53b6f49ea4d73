"""How the prompts of moves that are made together become one: each braider is called, and what is the same for all is
said once.

For two braiders the hands that lie side by side are the near ones and the others the far ones: "Near indexes." are
the right index of the one and the left index of the other. That needs no call: it is always said to both.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from companion.practice.prompt import ALL, Part, Phrase, Prompt
from companion.recipe.places import BRAIDER_NAMES, Finger, Side

NEAR, FAR = "near", "far"
EVERYONE = {2: Phrase("both"), 3: Phrase("all_braiders")}
LEAST_SHARED = 2
"""So many parts at the end are worth being said once, after a call of their own."""

_BY_HAND = ("", "take_", "return_")
"""Before the names of fingers, in the phrases that there are for near and far hands too."""


@dataclass(frozen=True)
class Row:
    """What is said of one move, and to whom."""

    braiders: frozenset[int]
    prompt: Prompt


def call(braider: int) -> Phrase:
    """A braider's name, by which she is called."""
    return Phrase(f"braider_{BRAIDER_NAMES[braider - 1]}")


def _alone(row: Row, braiders: int) -> Prompt:
    """One move's prompt, said to the braider whose move it is, where there are several."""
    return row.prompt.said_to(next(iter(row.braiders))) if len(row.braiders) == 1 < braiders else row.prompt


def together(rows: Sequence[Row], braiders: int) -> Prompt:
    """The prompt of moves that are made together, by so many braiders of a cord; each row is another one's."""
    if len(rows) == 1:
        return _alone(rows[0], braiders)
    apart = [row for row in rows if len(row.braiders) > 1]
    own = {next(iter(row.braiders)): without_call(row).parts for row in rows if len(row.braiders) == 1}
    said = _shared(own, braiders)
    for row in apart:
        said += _called(row, braiders)
    return said


def one_after_the_other(rows: Sequence[Row], braiders: int) -> Prompt:
    """The same with each braider called by herself, and all said in full."""
    if len(rows) == 1:
        return _alone(rows[0], braiders)
    said = Prompt(())
    for row in rows:
        said += _called(row, braiders)
    return said


def without_call(row: Row) -> Prompt:
    """What is said to one braider alone, without her name; what needs several, as it is."""
    if len(row.braiders) > 1:
        return row.prompt
    (braider,) = row.braiders
    return Prompt(tuple(part for part in row.prompt.parts if replace(part, to=ALL) != call(braider)))


def _called(row: Row, braiders: int) -> Prompt:
    """A move beside those of others: whose it is comes first."""
    begins = row.prompt.parts[:1] in [(call(braider),) for braider in row.braiders]
    if len(row.braiders) > 1 and begins:
        return row.prompt
    return _to_all(sorted(row.braiders), without_call(row).parts, braiders)


def _shared(own: dict[int, tuple[Part, ...]], braiders: int) -> Prompt:
    if braiders == 2 and len(own) == 2:
        near = {_near_and_far(parts, braider) for braider, parts in own.items()}
        if len(near) == 1 and len(set(own.values())) == 2:
            return Prompt(near.pop())
    before = _common(list(own.values()))
    rest = {braider: parts[len(before) :] for braider, parts in own.items()}
    after = _common([parts[::-1] for parts in rest.values()])[::-1]
    if len(after) < LEAST_SHARED:
        after = ()
    prompt = _to_all(list(own), before, braiders)
    # What is the same for some of them is said to these together: "One: Two: Turned."
    alike: dict[tuple[Part, ...], list[int]] = {}
    for braider, parts in rest.items():
        alike.setdefault(parts[: len(parts) - len(after)], []).append(braider)
    for parts, called in alike.items():
        prompt += _to_all(called, parts, braiders)
    return prompt + _to_all(list(own), after, braiders)


def _common(rows: Sequence[tuple[Part, ...]]) -> tuple[Part, ...]:
    """The parts with which all of these rows begin."""
    same: list[Part] = []
    for parts in zip(*rows, strict=False):
        if len(set(parts)) > 1:
            break
        same.append(parts[0])
    return tuple(same)


def _to_all(called: list[int], parts: tuple[Part, ...], braiders: int) -> Prompt:
    """Parts said to all of these braiders at once; nothing where there are none."""
    if not parts:
        return Prompt(())
    if len(called) == 1:
        return Prompt((call(called[0]), *parts)).said_to(called[0])
    if len(called) == braiders:
        return Prompt((EVERYONE[braiders], *parts))
    calls = tuple(replace(call(braider), to=braider) for braider in called)
    return Prompt((*calls, *parts))


def _near_and_far(parts: tuple[Part, ...], braider: int) -> tuple[Part, ...]:
    """The same parts with one of two braiders' hands by where they are: beside the other braider's, or away from it."""
    return tuple(
        replace(part, key=_NEAR_AND_FAR[braider].get(part.key, part.key)) if isinstance(part, Phrase) else part
        for part in parts
    )


def _keys(side: str) -> list[str]:
    return [f"hand_{side}", *(f"{before}{side}_{finger.value}" for before in _BY_HAND for finger in Finger)]


_NEAR_AND_FAR = {
    braider: {
        key: way_key
        for side, way in ((near_side, NEAR), (near_side.other, FAR))
        for key, way_key in zip(_keys(side.value), _keys(way), strict=True)
    }
    for braider, near_side in ((1, Side.RIGHT), (2, Side.LEFT))
}
