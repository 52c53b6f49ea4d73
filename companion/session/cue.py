"""``companion cue``: the braider's own cues for the moves of a cord, told, given and taken back."""

from __future__ import annotations

import sys
from argparse import Namespace

from companion import library
from companion.journal.fault import JournalFault
from companion.journal.store import Journal, open_journal
from companion.library import LibraryError
from companion.listening.vocabulary import Vocabulary, VocabularyError
from companion.practice.cue_keeping import CUE
from companion.practice.wording import move_prompt
from companion.recipe.model import Recipe
from companion.recipe.problems import RecipeError
from companion.session import setting
from companion.session.keeper import fingerprint, now
from companion.session.language import of_command, read
from companion.session.usage import DONE, FAULT, USAGE, UsageFault
from companion.session.words_choice import cue_fault
from companion.speaking.phrasebook import Phrasebook
from companion.speaking.phrasebook_reading import PhrasebookError


def cue(options: Namespace) -> int:
    """Tell, give or take back cues; the exit status: 0 done, 1 fault of a recipe or file, 2 usage."""
    try:
        recipe = library.load(options.recipe)
        language = read(of_command(options.language), options.vocabulary)
        if options.move is not None:
            _check(recipe, options, language.words)
        with open_journal(setting.data()) as journal:
            if journal.note:
                print(journal.note, file=sys.stderr)
            _answer(recipe, options, journal, language.book)
    except UsageFault as fault:
        print(fault, file=sys.stderr)
        return USAGE
    except (RecipeError, LibraryError, VocabularyError, PhrasebookError, setting.FileFault, JournalFault) as fault:
        print(fault, file=sys.stderr)
        return FAULT
    return DONE


def _check(recipe: Recipe, options: Namespace, words: Vocabulary) -> None:
    moves = len(recipe.cycle)
    if not 1 <= options.move <= moves:
        raise UsageFault(f"{recipe.name} has no move {options.move}; its moves count from 1 to {moves}.")
    if options.word and options.word.strip():
        fault = cue_fault(options.word.strip(), words)
        if fault:
            raise UsageFault(f'"{options.word.strip()}" can\'t be a cue: {fault}')


def _answer(recipe: Recipe, options: Namespace, journal: Journal, book: Phrasebook) -> None:
    if options.move is not None and options.word is not None:
        journal.keep(recipe.name, fingerprint(recipe), CUE, str(options.move), options.word.strip(), now())
    own = journal.kept(fingerprint(recipe), CUE)
    for number in range(1, len(recipe.cycle) + 1) if options.move is None else (options.move,):
        print(_line(recipe, number, own.get(str(number), ""), book))


def _line(recipe: Recipe, number: int, own: str, book: Phrasebook) -> str:
    move = recipe.cycle[number - 1]
    cue = own or (f"{move.cue} (the recipe's)" if move.cue else "no cue")
    return f"{number:>2}  {book.text(move_prompt(recipe, move))}  {cue}"
