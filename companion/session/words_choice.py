"""How much is said of each move: what she chose, what earlier sittings kept, and cues of her own."""

from __future__ import annotations

import re
from argparse import Namespace
from collections.abc import Mapping
from dataclasses import replace

from companion.listening.vocabulary import Vocabulary, fold
from companion.practice.cue_keeping import CUE, LEVEL, WORDS, restored
from companion.practice.cues import Coaching, Level, pinned
from companion.practice.state import Pace
from companion.recipe.fields import unfit_characters
from companion.recipe.model import Recipe
from companion.recipe.move_reading import LONGEST_CUE
from companion.session.keeper import Keeper
from companion.session.usage import UsageFault

FADE = "fade"
PINNED_NOTES = {
    Level.FULL: "Every move is said in full words",
    Level.SHORT: "Every move is said in short words",
    Level.COUNT: "Every move is only counted",
}


def coaching(
    options: Namespace, pace: Pace, recipe: Recipe, keeper: Keeper, words: Vocabulary, notes: list[str]
) -> Coaching:
    """The coaching that a sitting begins with. What was settled last time holds where nothing else is chosen.

    Raises UsageFault for one prompt a cycle in timed pace.
    """
    if options.whole_cycle and pace is Pace.TIMED:
        raise UsageFault("--whole-cycle waits for next after each cycle; use it with --pace step.")
    cues = keeper.kept(recipe, CUE)
    begun = restored(recipe, keeper.kept(recipe, LEVEL), keeper.kept(recipe, WORDS), cues)
    begun = _sayable(begun, cues, words, notes)
    if options.words is not None:
        begun = pinned(begun, None if options.words == FADE else Level(options.words))
    elif begun.pinned in PINNED_NOTES and not begun.whole_cycle:
        notes.append(f'{PINNED_NOTES[begun.pinned]}, as you chose last time; "you choose" changes that.')
    if options.whole_cycle:
        begun = replace(begun, whole_cycle=True)
    elif begun.whole_cycle and pace is Pace.STEP:
        notes.append('There is one prompt a cycle, as you chose last time; "full words" changes that.')
    return begun


def _sayable(begun: Coaching, cues: Mapping[str, str], words: Vocabulary, notes: list[str]) -> Coaching:
    """The same without the cues that can't be said while a word is listened for."""
    for number, cue in enumerate(begun.cues, start=1):
        fault = cue_fault(cue, words) if cue else ""
        if fault:
            whose = "your cue" if cues.get(str(number)) else "the recipe's cue"
            notes.append(f"Move {number} keeps its short words in place of {whose}: {fault}")
            begun = begun.with_cue(number, "")
    return begun


def cue_fault(cue: str, words: Vocabulary) -> str:
    """Why this can't be a cue, in one sentence; empty where it can."""
    if not re.search(r"\w", cue):
        return f'"{cue}" holds no word that could be said; give a word or two.'
    if unfit := unfit_characters(cue):
        return f"a cue must be one plain line; take out {unfit}."
    if len(cue) > LONGEST_CUE:
        return f"it has {len(cue)} characters, and at most {LONGEST_CUE} are allowed; give a word or two."
    spoken = f" {' '.join(_words(cue))} "
    for wording, _ in words.wordings:
        if f" {' '.join(_words(wording))} " in spoken:
            return f'"{wording}" is a word that is listened for; choose another.'
    return ""


def _words(text: str) -> list[str]:
    return re.findall(r"[\w'’]+", fold(text))
