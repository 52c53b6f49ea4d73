"""What is asked of a plan: the yarn of every colour, and the reach of every braider, as they are written."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TypeVar

from companion.recipe.places import BRAIDER_NAMES
from companion.recipe.problems import listed
from companion.yarn.diameter import Yarn, read_yarn, thickened
from companion.yarn.estimate import Estimate, Known, exactly
from companion.yarn.lengths import read_length
from companion.yarn.reach import USUAL_REACH_CM

Thing = TypeVar("Thing")


def read_yarns(
    texts: Sequence[str], colours: Sequence[str], thicknesses: Mapping[str, float] | None = None
) -> dict[str, Yarn]:
    """A yarn for every colour, from ``tex 300`` (all colours, or all others) and ``light=Nm 8/2 linen``.

    A colour that isn't named takes the yarn for all as many times as thick as ``thicknesses`` says, where it does.

    Raises ValueError with one sentence.
    """
    found = _assigned(texts, colours, "--yarn", "colour of this colourway", read_yarn)
    missing = [name for name in colours if name not in found]
    if missing:
        raise ValueError(
            f'no yarn is given for {listed(missing, "and")}; add --yarn "{missing[0]}=tex 300", or the like.'
        )
    named = {text.partition("=")[0].strip() for text in texts if "=" in text}
    computed = {name: times for name, times in (thicknesses or {}).items() if name in found and name not in named}
    return found | {name: thickened(found[name], times) for name, times in computed.items()}


def read_reaches(texts: Sequence[str], braiders: int) -> tuple[Estimate, ...]:
    """The reach of every braider in cm, from ``80cm`` (all, or all others) and ``one=75cm``.

    Whoever is not named has the usual reach. Raises ValueError with one sentence.
    """
    names = BRAIDER_NAMES[:braiders]
    found = _assigned(texts, names, "--reach", "braider of this recipe", read_length)
    usual = exactly(USUAL_REACH_CM, Known.RULE)
    return tuple(exactly(found[name], Known.MEASURED) if name in found else usual for name in names)


def _assigned(
    texts: Sequence[str], names: Sequence[str], option: str, what: str, read: Callable[[str], Thing]
) -> dict[str, Thing]:
    """What is given for each name; a text without a name is for all that aren't named."""
    found: dict[str, Thing] = {}
    others: list[Thing] = []
    for text in texts:
        name, equals, rest = (part.strip() for part in text.partition("="))
        if not equals:
            others.append(read(text))
        elif name not in names:
            raise ValueError(f'{option} "{text}": "{name}" is no {what}; give {listed(names, "or")}.')
        elif name in found:
            raise ValueError(f"{option} is given twice for {name}; give it once.")
        else:
            found[name] = read(rest)
    if len(others) > 1:
        raise ValueError(f"{option} is given twice without saying for what; write it as in {names[0]}=...")
    return {name: found.get(name, others[0]) if others else found[name] for name in names if others or name in found}
