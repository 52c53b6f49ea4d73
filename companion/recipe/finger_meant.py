"""Which finger was meant by a name that is none: other words for it, another order, its hand or braider left out."""

from __future__ import annotations

import re
from collections.abc import Iterable

from companion.recipe.places import BRAIDER_NAMES
from companion.recipe.problems import did_you_mean, listed, quoted

_OTHER_WORDS = {
    "l": "left",
    "r": "right",
    "pinky": "little",
    "pinkie": "little",
    "small": "little",
    "forefinger": "index",
    "pointer": "index",
    "long": "middle",
    "1": "one",
    "2": "two",
    "3": "three",
}
_NO_PART = ("hand", "finger", "braider", "the", "of")
_ORDER = (*BRAIDER_NAMES, "left", "right")
_MOST = 3
"""More fingers than that could be meant by anything."""


def finger_meant(came: str, names: Iterable[str]) -> str:
    """`` (did you mean "left index"?)`` where a finger may have been meant, else nothing."""
    known = list(names)
    words = re.findall(r"\d|left|right|[^\W\d_]+", came.lower())
    parts = [_OTHER_WORDS.get(word, word) for word in words if word not in _NO_PART]
    if all(part in _ORDER for part in parts):
        return ""
    ordered = " ".join(sorted(parts, key=lambda part: _ORDER.index(part) if part in _ORDER else len(_ORDER)))
    fitting = [ordered] if ordered in known else [name for name in known if {*parts} < {*name.split()}]
    if parts and 1 <= len(fitting) <= _MOST:
        return f" (did you mean {listed(quoted(name) for name in fitting)}?)"
    return did_you_mean(ordered or came, known)
