"""practise, learn, cue and today."""

from __future__ import annotations

import argparse
from pathlib import Path

from companion.cli.braiding_options import add_beat, add_colourway, add_names, add_recipe
from companion.cli.sound import add_language, add_senses
from companion.cli.values import count, number, rest, silence
from companion.cli.words import WORDS


def add_practising(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """The commands for hands on the loops."""
    _add_practise(commands)
    _add_learn(commands)
    _add_cue(commands)
    today = commands.add_parser("today", help="what is to be practised today, of what has been learnt")
    today.set_defaults(run=_today)


def _add_practise(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    practise = commands.add_parser(
        "practise",
        help="braid a cord, hands free",
        epilog=WORDS,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        description="Braid a cord: each move is spoken when you say next.",
    )
    practise.set_defaults(run=_practise)
    add_recipe(practise, optional=True)
    cord = practise.add_argument_group("the cord")
    add_colourway(cord)
    goal = cord.add_mutually_exclusive_group()
    goal.add_argument("--cycles", type=count, metavar="N", help="stop after N cycles")
    goal.add_argument("--repeats", type=count, metavar="N", help="stop after N repeats of the pattern")
    goal.add_argument(
        "--length", metavar="LENGTH", help="how long the cord shall be, as in 60cm; measure it on the way"
    )
    cord.add_argument(
        "--yarn",
        metavar="YARN",
        help='what it is made of, in your words; measured cords of the same yarn count ("tex 300")',
    )
    _add_rest(cord)
    add_names(cord)
    cord.add_argument("--fresh", action="store_true", help="begin anew; what was done before stays in the journal")
    cord.add_argument("--brief", action="store_true", help="leave out the greeting and the talk of loading")
    _add_words(practise)
    _add_pace(practise)
    add_senses(practise)


def _add_learn(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    learn = commands.add_parser(
        "learn",
        help="learn a cord's moves part by part",
        epilog=WORDS,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        description="Learn a cord on a practice cord: each part slowly, then until it is steady, then joined.",
    )
    learn.set_defaults(run=_learn)
    add_recipe(learn, optional=True)
    lesson = learn.add_argument_group("the lesson")
    add_colourway(lesson)
    lesson.add_argument(
        "--rounds", type=count, default=3, metavar="N", help="it ends when the whole cycle went well N times (3)"
    )
    _add_rest(lesson)
    add_names(lesson)
    lesson.add_argument("--fresh", action="store_true", help="every part, also those learnt before and not due")
    lesson.add_argument("--brief", action="store_true", help="leave out the greeting and the talk of loading")
    _add_pace(learn)
    add_senses(learn)


def _add_words(practise: argparse.ArgumentParser) -> None:
    words = practise.add_argument_group("words")
    words.add_argument(
        "--words",
        choices=("full", "short", "count", "fade"),
        default=None,
        help="how much is said of each move; fade: less as you know it, more again after a slip "
        "(as last time, else fade)",
    )
    words.add_argument("--whole-cycle", action="store_true", help="one prompt for each cycle, the count aloud")
    words.add_argument(
        "--count",
        choices=("number", "tick"),
        default="number",
        help="where a move is only counted: its number in the cycle, or a soft tick (number)",
    )


def _add_cue(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    cue = commands.add_parser(
        "cue",
        help="your own word for a move, said once you know it well",
        description="Your own word for a move. It is said once you know the move by its short words.",
    )
    cue.set_defaults(run=_cue)
    add_recipe(cue)
    cue.add_argument("move", nargs="?", type=number, metavar="MOVE", help="the move's number in the cycle (else: all)")
    cue.add_argument("word", nargs="?", metavar="WORD", help='a word or two; "" takes your cue back (else: it is told)')
    add_language(cue)
    cue.add_argument("--vocabulary", type=Path, metavar="FILE", help="another file of the words to listen for")


def _add_rest(group: argparse._ArgumentGroup) -> None:
    group.add_argument(
        "--rest-every",
        type=rest,
        metavar="MINUTES",
        help="a word about resting after so long at the loops; 0: none (as chosen last, else 25)",
    )


def _add_pace(command: argparse.ArgumentParser) -> None:
    pace = command.add_argument_group("pace")
    pace.add_argument(
        "--pace",
        choices=("step", "timed", "mine"),
        default="step",
        help="wait for next; keep a steady beat; or a beat that slowly follows yours",
    )
    add_beat(pace)
    pace.add_argument(
        "--still-there",
        type=silence,
        default=None,
        metavar="S",
        help="ask after so many seconds without word, key or sound; 0: never (two cycles, at least 60; waiting for "
        "next: 300)",
    )


def _practise(options: argparse.Namespace) -> int:
    from companion.session.practise import practise
    from companion.session.silenced_libraries import silenced_libraries

    with silenced_libraries():
        return practise(options)


def _learn(options: argparse.Namespace) -> int:
    from companion.session.learn import learn
    from companion.session.silenced_libraries import silenced_libraries

    with silenced_libraries():
        return learn(options)


def _cue(options: argparse.Namespace) -> int:
    from companion.session.cue import cue

    return cue(options)


def _today(options: argparse.Namespace) -> int:
    from companion.session.today import today

    return today(options)
