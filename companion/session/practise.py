"""Puts one session together from what the user chose, and runs it."""

from __future__ import annotations

import queue
import signal
import sys
from argparse import Namespace
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import replace
from typing import Any, TypeVar

from companion import library
from companion.display.amounts import amount
from companion.display.keys import Pressed
from companion.journal.rows import LastSession
from companion.library import LibraryError
from companion.listening.sound_file import SoundFileFault
from companion.listening.vocabulary import Vocabulary, VocabularyError
from companion.practice import talk
from companion.practice.cue_wording import cue_prompt
from companion.practice.events import Ending
from companion.practice.position import Position
from companion.practice.search import EMPTY, colours
from companion.practice.sequencer import begin
from companion.practice.state import Plan
from companion.practice.wording import loading_prompts
from companion.recipe.model import Colourway, Recipe
from companion.recipe.places import place_names
from companion.recipe.problems import RecipeError
from companion.session import braider_names, colourway_choice, ear_choice, reader, setting
from companion.session.conduct import PRACTICE, Conduct, S
from companion.session.cord_choice import cord_choice
from companion.session.ears import LoadedEar, NoEar
from companion.session.files import check_free
from companion.session.keeper import Keeper, fingerprint
from companion.session.language import Language, of_session, read
from companion.session.listing import choose
from companion.session.loop import Session
from companion.session.mouth import Mouth
from companion.session.pace_choice import pace_choice
from companion.session.shown import PlainShown, ScreenShown, SessionKeys
from companion.session.usage import DONE, FAULT, USAGE, UsageFault, sentence
from companion.session.words_choice import coaching
from companion.session.worlds import Devices, SoundFiles, World
from companion.speaking.phrasebook_reading import PhrasebookError
from companion.speaking.player import FilePlayer, PlayerFault

Prepared = TypeVar("Prepared")


def practise(options: Namespace) -> int:
    """Run a session; the exit status: 0 done, 1 fault of a recipe or file, 2 usage."""
    notes: list[str] = []
    keeper = Keeper(setting.data(), notes.append)

    def prepare() -> tuple[Recipe, Language, Plan, int | None, World]:
        recipe = library.load(chosen_name(options, keeper))
        language = language_and_ear(options, keeper, notes)
        plan, carries_on = _plan(recipe, options, keeper, notes)
        plan = replace(
            plan,
            names=braider_names.braiders(recipe, options.braiders, language.words),
            coaching=coaching(options, plan.pace, recipe, keeper, language.words, notes),
            counts_by_tick=options.count == "tick",
        )
        return recipe, language, plan, carries_on, open_world(options)

    prepared = prepared_or_told(prepare)
    if isinstance(prepared, int):
        return prepared
    recipe, language, plan, carries_on, world = prepared
    keeper.begin(recipe, plan.colourway.name, carries_on, plan.stopped_at, yarn=options.yarn or "")
    try:
        session = run(options, begin(plan), PRACTICE, plan, world, language, keeper, notes)
        if session.ended is not None and on_screen(options):
            print(_farewell(recipe, session.state.position, plan, session.ended))
        return DONE
    finally:
        world.close()
        keeper.close()


EXPECTED = (
    RecipeError,
    LibraryError,
    VocabularyError,
    PhrasebookError,
    setting.FileFault,
    SoundFileFault,
    PlayerFault,
)


def prepared_or_told(prepare: Callable[[], Prepared]) -> Prepared | int:
    """What a session needs; where it can't be had, the exit status, after one sentence that says why."""
    try:
        return prepare()
    except UsageFault as fault:
        print(fault, file=sys.stderr)
        return USAGE
    except EXPECTED as fault:
        print(sentence(fault), file=sys.stderr)
        return FAULT
    except (EOFError, KeyboardInterrupt):
        return DONE


def language_and_ear(options: Namespace, keeper: Keeper, notes: list[str]) -> Language:
    """The language and its reader, and into ``options`` what the ear is to be: as asked for, else as kept."""
    language = read(of_session(options.language, keeper, notes), options.vocabulary)
    ear_choice.of_session(options, keeper, notes)
    return replace(language, reader=reader.of_session(options.reader, language.code, keeper, notes))


def chosen_name(options: Namespace, keeper: Keeper) -> str:
    """The recipe that was named, or that is chosen from the list."""
    if options.recipe:
        return str(options.recipe)
    asked = sys.stdin.isatty() and sys.stdout.isatty() and not options.from_audio
    return choose(keeper.last_recipe(), input if asked else None)


def _plan(recipe: Recipe, options: Namespace, keeper: Keeper, notes: list[str]) -> tuple[Plan, int | None]:
    """What this session is to be, and the id of the session that it may carry on."""
    last = None if options.fresh else keeper.last(recipe)
    last_name = last.colourway if last is not None and colourway_choice.has_colourway(recipe, last.colourway) else None
    colourway = colourway_choice.colourway(recipe, options.colourway or last_name)
    if last is not None and not _can_carry_on(recipe, colourway, last, notes):
        last = None
    plan = Plan(
        recipe=colourway_choice.with_fills(recipe, colourway),
        colourway=colourway,
        **vars(cord_choice(options, recipe, colourway, last.id if last else None, keeper, notes)),
        **vars(pace_choice(options, recipe, keeper, notes)),
        brief=options.brief,
        stopped_at=last.position if last else Position(),
    )
    return plan, last.id if last else None


def _can_carry_on(recipe: Recipe, colourway: Colourway, last: LastSession, notes: list[str]) -> bool:
    if last.how == Ending.COMPLETED.value or not last.position.prompted:
        return False
    if last.recipe_print != fingerprint(recipe):
        notes.append(
            "The recipe's moves have changed since last time, so this begins anew; the journal keeps what was."
        )
        return False
    if last.colourway != colourway.name:
        notes.append(
            f'Last time the colourway was "{last.colourway}", so this begins anew; the journal keeps what was.'
        )
        return False
    return True


def open_world(options: Namespace) -> World:
    """The devices, or the sound files, that were asked for. Raises what EXPECTED names."""
    if options.to_audio:
        check_free(options.to_audio, replace=options.replace)
    if options.from_audio:
        return SoundFiles(options.from_audio, options.to_audio)
    if options.to_audio:
        return Devices(setting.microphone_opener(options), None, file=FilePlayer(options.to_audio))
    return Devices(setting.microphone_opener(options), setting.player_opener(options))


def on_screen(options: Namespace) -> bool:
    """Whether there is a terminal to draw on, and no lines were asked for."""
    return not options.plain and not options.from_audio and sys.stdout.isatty()


def run(
    options: Namespace,
    state: S,
    conduct: Conduct[S],
    plan: Plan,
    world: World,
    language: Language,
    keeper: Keeper,
    notes: list[str],
) -> Session[S]:
    """Run a session to its end, which is None where its terminal has gone. ``plan``: whose words are made ready."""
    book = language.naming(plan.names).book
    voice = reader.voice(options.voice, book, language.code, language.reader)
    keys: queue.SimpleQueue[Pressed] = queue.SimpleQueue()
    in_files = isinstance(world, SoundFiles)
    shown_on = ScreenShown if on_screen(options) else PlainShown
    with _ending_signals() as stopped, shown_on(book, language.sayings) as shown:
        for note in notes:
            shown.note(note)
        mouth = Mouth(voice, world.player, shown.note)
        ears = _ears(options, language.words, in_files, _answers(plan))
        session = Session(state, conduct, world, mouth, shown, keeper, ears, keys, options.headphones)
        keeper.report = shown.note
        voice.prepare(_own_wordings(plan))
        with nullcontext() if in_files else SessionKeys(keys, language.typed):
            session.run(lambda: bool(stopped) or shown.gone)
    ears.close()
    if shown.gone:
        session.ended = None
    return session


def _answers(plan: Plan) -> tuple[str, ...]:
    """All words that may answer a question of the session's: colours, that a finger is empty, and fingers."""
    return (*colours(plan.recipe, plan.colourway), EMPTY, *place_names(plan.recipe.braiders))


def _ears(options: Namespace, words: Vocabulary, in_files: bool, answers: tuple[str, ...]) -> LoadedEar | NoEar:
    if options.listen == "keys":
        return NoEar()
    ear = LoadedEar(setting.ear_opener(options, words, answers))
    return ear.wait() if in_files else ear.start()


def _own_wordings(plan: Plan) -> list[Any]:
    numbers = range(1, plan.moves + 1)
    moves = [said(plan, number) for number in numbers for said in (talk.move, talk.apart)]
    cues = [cue_prompt(cue) for cue in (plan.coaching.cues if plan.coaching else ()) if cue]
    return [*moves, *cues, *loading_prompts(plan.recipe, plan.colourway)]


@contextmanager
def _ending_signals() -> Iterator[list[int]]:
    """Signals that end the program end the session in order; the list says which came."""
    came: list[int] = []

    def note(number: int, _frame: object) -> None:
        came.append(number)

    names = [name for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)]
    before = {getattr(signal, name): signal.signal(getattr(signal, name), note) for name in names}
    try:
        yield came
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _farewell(recipe: Recipe, position: Position, plan: Plan, ending: Ending) -> str:
    """The last line on the terminal, after the screen has gone."""
    cycles, moves = divmod(position.made, plan.moves)
    made = f"{recipe.title}: {amount(cycles, 'cycle')} and {amount(moves, 'move')} made in all."
    if ending is Ending.COMPLETED:
        return made
    return f"{made} To go on from there: companion practise {recipe.name}"
