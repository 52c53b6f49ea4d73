"""Makes a practice track: the spoken session of a cord as a sound file, for a player in a pocket."""

from __future__ import annotations

import sys
from argparse import Namespace
from dataclasses import replace
from pathlib import Path

from companion import library
from companion.display.amounts import amount
from companion.listening.vocabulary import Vocabulary
from companion.practice import steps
from companion.practice.chapters import marks
from companion.practice.goal import Goal, Measure
from companion.practice.prompt import Phrase
from companion.practice.state import Plan
from companion.recipe.model import Recipe
from companion.recipe.problems import printable
from companion.session import braider_names, colourway_choice, reader, setting
from companion.session.cord_choice import rest_every
from companion.session.files import check_free, check_place
from companion.session.keeper import Keeper
from companion.session.language import of_session, read
from companion.session.mouth import Mouth
from companion.session.pace_choice import pace_choice
from companion.session.practise import prepared_or_told
from companion.session.track_run import TrackRun
from companion.session.usage import DONE, FAULT, UsageFault
from companion.session.words_choice import coaching
from companion.speaking.phrasebook import Phrasebook, PhraseMissing
from companion.speaking.player import PlayerFault
from companion.speaking.track_file import FORMATS, TrackFault, TrackFile
from companion.speaking.track_marks import Chapter, cued_file
from companion.speaking.voice import Voice

USUAL_CYCLES = 20
LONGEST_H = 10.0
SPEEDS = {"slow": -1, "normal": 0, "fast": 1}


def track(options: Namespace) -> int:
    """Write a track; the exit status: 0 done, 1 fault of a recipe or file, 2 usage."""
    notes: list[str] = []

    def prepare() -> tuple[Plan, Phrasebook, Voice, TrackFile]:
        recipe = library.load(options.recipe)
        _check_place(options)
        keeper = Keeper(setting.data(), notes.append)
        try:
            language = read(of_session(options.language, keeper, notes), None)
            who = reader.of_session(options.reader, language.code, keeper, notes)
            plan = _plan(recipe, options, language.words, keeper, notes)
        finally:
            keeper.close()
        book = language.naming(plan.names).book
        return plan, book, reader.voice(options.voice, book, language.code, who), _begun(options.out)

    prepared = prepared_or_told(prepare)
    if isinstance(prepared, int):
        return prepared
    plan, book, voice, file = prepared
    for note in notes:
        print(note)
    try:
        return _write(plan, book, voice, file, options)
    except (TrackFault, PhraseMissing) as fault:
        print(fault, file=sys.stderr)
        return FAULT
    finally:
        file.close()


def _begun(path: Path) -> TrackFile:
    try:
        return TrackFile(path)
    except TrackFault as fault:
        raise PlayerFault(str(fault)) from fault


def _check_place(options: Namespace) -> None:
    """Raises UsageFault for a kind of file that can't be made, FileFault for one that is there already."""
    path: Path = options.out
    check_place(path, FORMATS, f"a track's name ends in {', '.join(FORMATS)}", replace=options.replace)
    sheet = path.with_suffix(".cue")
    owner = cued_file(sheet)
    check_free(sheet, replace=options.replace, what=f"the cue sheet of {printable(owner)}" if owner else "")


def _plan(recipe: Recipe, options: Namespace, words: Vocabulary, keeper: Keeper, notes: list[str]) -> Plan:
    """The session of the track. Raises UsageFault."""
    colourway = colourway_choice.colourway(recipe, options.colourway)
    if options.whole_cycle:
        # The beat goes on move by move: a tap for each, and the count aloud.
        options.words, options.count, options.whole_cycle = "count", "tick", False
    goal = Goal(Measure.REPEATS, options.repeats) if options.repeats else None
    plan = Plan(
        recipe=colourway_choice.with_fills(recipe, colourway),
        colourway=colourway,
        goal=goal or Goal(Measure.CYCLES, options.cycles or USUAL_CYCLES),
        **vars(pace_choice(options, recipe, keeper, notes)),
        rest_every_min=rest_every(options, keeper),
        brief=options.brief,
        names=braider_names.braiders(recipe, options.braiders, words),
        counts_by_tick=options.count == "tick",
        attended=False,
    )
    hours = _cycles(plan) * steps.in_a_cycle(plan) * plan.seconds_per_move / 3600
    if hours > LONGEST_H:
        raise UsageFault(f"That would be a track of {hours:.0f} hours; at most {LONGEST_H:g} are made: fewer cycles.")
    return replace(plan, coaching=coaching(options, plan.pace, recipe, keeper, words, notes))


def _cycles(plan: Plan) -> int:
    assert plan.goal is not None
    return plan.goal.cycles(plan.cycles_in_repeat)


def _write(plan: Plan, book: Phrasebook, voice: Voice, file: TrackFile, options: Namespace) -> int:
    chosen = marks(_cycles(plan), plan.cycles_in_repeat)
    unit = _name(book, "repeat" if chosen.by_repeats else "cycle")
    chapters = [Chapter(0.0, _name(book, "first_move_follows" if plan.brief else "load_first"))]

    def on_cycle(cycle: int, at_s: float) -> None:
        if chosen.at(cycle):
            chapters.append(Chapter(at_s, f"{unit} {chosen.number(cycle)}"))

    def on_end(at_s: float) -> None:
        chapters.append(Chapter(at_s, _name(book, "all_cycles_done")))

    mouth = Mouth(voice, file, lambda fault: None)  # what it can't say is told at the end, all at once
    mouth.speed(SPEEDS[options.speed])
    TrackRun(plan, mouth, file, on_cycle, on_end).run()
    lasts_s = file.time_s
    path, sheet = file.keep(_tags(plan, voice), chapters)
    print(f"{path}: {_time(lasts_s)}, {amount(_cycles(plan), 'cycle')}, {amount(len(chapters), 'chapter')}.")
    print(f"{sheet}: the same chapters as a cue sheet, for players that read no marks in the file.")
    if voice.unsaid:
        print(_left_out(list(voice.unsaid)), file=sys.stderr)
    return DONE


def _name(book: Phrasebook, key: str) -> str:
    """A phrase as a chapter's name."""
    text = book.text(Phrase(key)).rstrip(".")
    return text[:1].upper() + text[1:]


def _tags(plan: Plan, voice: Voice) -> dict[str, str]:
    title = f"{plan.recipe.title}, {plan.colourway.name}: {amount(_cycles(plan), 'cycle')}"
    made = f"Recipe {plan.recipe.name}, {plan.seconds_per_move:g} seconds a move."
    cautions = (
        "If fingers tingle, go numb or hurt, rest. Keep cords away from small children; they carry no people or loads."
    )
    tags = {"TITLE": title, "GENRE": "Speech", "COMMENT": f"{made} {voice.origin} {cautions}".replace("  ", " ")}
    return {**tags, "COPYRIGHT": f"Voice: {voice.licence}"} if voice.licence else tags


def _time(seconds: float) -> str:
    hours, rest = divmod(round(seconds), 3600)
    minutes, seconds = divmod(rest, 60)
    parts = [amount(hours, "hour")] if hours else []
    return " ".join([*parts, *([amount(minutes, "minute")] if hours or minutes else []), amount(seconds, "second")])


SHOWN = 5


def _left_out(texts: list[str]) -> str:
    """One sentence about what no voice could say."""
    listed = ", ".join(f'"{text}"' for text in texts[:SHOWN])
    more = f" and {len(texts) - SHOWN} more" if len(texts) > SHOWN else ""
    return (
        f"Left out of the track, since no clip says it and no speech engine could: {listed}{more}; "
        "companion sound-check tells which voices there are."
    )
