"""Braiders called by their own names: the phrases that name them by number, with the names put in."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from companion.recipe.places import BRAIDER_NAMES
from companion.speaking.phrasebook import Phrasebook

_ANY = "|".join(BRAIDER_NAMES)
_NAMING = re.compile(
    rf"(from_)?braider_({_ANY})|({_ANY})_(inside|over|under)_({_ANY})|({_ANY})_(un)?turned(_inward|_outward)?"
)
"""The keys of phrases that name braiders."""


def with_names(book: Phrasebook, names: Sequence[str]) -> Phrasebook:
    """The phrasebook for braiders of these names, from left to right: "One:" is "Ann:" then, unless she is called one.

    No clip says a new text: an engine does, or else the text that it stands for (``Phrasebook.stand_ins``) is said.
    A phrase that doesn't name them by the language's own number words stays as it is.
    """
    spoken = {
        book.numbers[str(number)].casefold(): name
        for number, (name, usual) in enumerate(zip(names, BRAIDER_NAMES, strict=False), 1)
        if name != usual and str(number) in book.numbers
    }
    if not spoken:
        return book
    word = re.compile(rf"\b({'|'.join(map(re.escape, spoken))})\b", re.IGNORECASE)
    named = {
        key: word.sub(lambda found: spoken[found[0].casefold()], text)
        for key, text in book.phrases.items()
        if _NAMING.fullmatch(key)
    }
    changed = {text: book.phrases[key] for key, text in named.items() if text != book.phrases[key]}
    return replace(book, phrases={**book.phrases, **named}, stand_ins=changed)
