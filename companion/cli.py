"""The front door: one small function for each command; it reads the words and hands them on."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path

from companion.display.key_table import keys_of
from companion.practice.commands import Command
from companion.session.usage import DONE, FAULT, USAGE

TOP = """\
A companion at your elbow while both hands hold loops: it says each move of a fingerloop cord,
listens for a few words, keeps count of cycles and repeats, and finds your place again tomorrow."""

MEANINGS = {
    Command.NEXT: "the move is made, tell me the following one",
    Command.BACK: "how to undo that move, and one step less",
    Command.AGAIN: "say it once more",
    Command.WHERE: "cycle, move, and what is on each finger",
    Command.PAUSE: "rest",
    Command.CARRY_ON: "go on after a rest, or where you stopped",
    Command.HOW_FAR: "what is made, what remains, how long that takes",
    Command.MEASURED: "then say how many centimetres the cord is long",
    Command.MY_PACE: "the beat of timed pace becomes your own",
    Command.SLOWER: "speech and pace",
    Command.FASTER: "speech and pace",
    Command.FULL_WORDS: "every move in full",
    Command.SHORT_WORDS: "every move in few words",
    Command.ONLY_COUNT: "numbers only; once more: one prompt a cycle",
    Command.YOU_CHOOSE: "of each move as much as you need",
    Command.FINISH: "asks once, then ends; your place is kept",
    Command.YES: "to what it asks",
    Command.NO: "to what it asks; while braiding as back",
}

WORDS = (
    "While braiding you can say, or press:\n"
    + "".join(
        f"  {command.value:<11} {meaning:<44} {', '.join(keys_of(command))}\n" for command, meaning in MEANINGS.items()
    )
    + """\
A foot pedal that sends one of these keys works too.

Cautions: if fingers tingle, go numb or hurt, stop and rest, and ask a clinician if it stays.
Keep cords away from small children. Braided cords are not for carrying people or loads."""
)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit status: 0 done, 1 fault of a recipe or file, 2 usage."""
    try:
        try:
            return _run(arguments)
        finally:
            sys.stdout.flush()
    except KeyboardInterrupt:
        return DONE
    except BrokenPipeError:
        _discard_output()
        return DONE
    except OSError as fault:
        _discard_output()
        print(f"The program had to stop ({fault.strerror or fault}); what was braided is kept.", file=sys.stderr)
        return FAULT


def _discard_output() -> None:
    """Whoever read the lines has gone, or their disk is full: the flush at exit must not fail once more."""
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, sys.stdout.fileno())
    os.close(nothing)


def _run(arguments: Sequence[str] | None) -> int:
    parser = _parser()
    options = parser.parse_args(arguments)
    if options.run is None:
        parser.print_help()
        return USAGE
    status: int = options.run(options)
    return status


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="companion", description=TOP, epilog=WORDS, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.set_defaults(run=None)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")
    _add_practise(commands)
    _add_learn(commands)
    _add_cue(commands)
    today = commands.add_parser("today", help="what is to be practised today, of what has been learnt")
    today.set_defaults(run=_today)
    recipes = commands.add_parser("recipes", help="list the cords there are, one line each")
    recipes.set_defaults(run=_recipes)
    _add_cords(commands)
    _add_journal(commands)
    _add_sound_check(commands)
    return parser


def _add_practise(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    practise = commands.add_parser(
        "practise",
        help="braid a cord, hands free",
        epilog=WORDS,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        description="Braid a cord: each move is spoken when you say next.",
    )
    practise.set_defaults(run=_practise)
    practise.add_argument("recipe", nargs="?", help="a cord's name (see: companion recipes) or a recipe file")
    cord = practise.add_argument_group("the cord")
    cord.add_argument("--colourway", metavar="NAME", help="one of the recipe's colourways (the first if not given)")
    goal = cord.add_mutually_exclusive_group()
    goal.add_argument("--cycles", type=_count, metavar="N", help="stop after N cycles")
    goal.add_argument("--repeats", type=_count, metavar="N", help="stop after N repeats of the pattern")
    goal.add_argument(
        "--length", metavar="LENGTH", help="how long the cord shall be, as in 60cm; measure it on the way"
    )
    cord.add_argument(
        "--yarn",
        metavar="YARN",
        help='what it is made of, in your words; measured cords of the same yarn count ("tex 300")',
    )
    _add_rest(cord)
    _add_names(cord)
    cord.add_argument("--fresh", action="store_true", help="begin anew; what was done before stays in the journal")
    cord.add_argument("--brief", action="store_true", help="leave out the greeting and the talk of loading")
    _add_words(practise)
    _add_pace(practise)
    _add_senses(practise)


def _add_learn(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    learn = commands.add_parser(
        "learn",
        help="learn a cord's moves part by part",
        epilog=WORDS,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        description="Learn a cord on a practice cord: each part slowly, then until it is steady, then joined.",
    )
    learn.set_defaults(run=_learn)
    learn.add_argument("recipe", nargs="?", help="a cord's name (see: companion recipes) or a recipe file")
    lesson = learn.add_argument_group("the lesson")
    lesson.add_argument("--colourway", metavar="NAME", help="one of the recipe's colourways (the first if not given)")
    lesson.add_argument(
        "--rounds", type=_count, default=3, metavar="N", help="it ends when the whole cycle went well N times (3)"
    )
    _add_rest(lesson)
    _add_names(lesson)
    lesson.add_argument("--fresh", action="store_true", help="every part, also those learnt before and not due")
    lesson.add_argument("--brief", action="store_true", help="leave out the greeting and the talk of loading")
    _add_pace(learn)
    _add_senses(learn)


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
    cue.add_argument("recipe", metavar="RECIPE", help="a cord's name or a recipe file")
    cue.add_argument("move", nargs="?", type=_number, metavar="MOVE", help="the move's number in the cycle (else: all)")
    cue.add_argument("word", nargs="?", metavar="WORD", help='a word or two; "" takes your cue back (else: it is told)')
    cue.add_argument("--vocabulary", type=Path, metavar="FILE", help="another file of the words to listen for")


def _add_rest(group: argparse._ArgumentGroup) -> None:
    group.add_argument(
        "--rest-every",
        type=_rest,
        metavar="MINUTES",
        help="a word about resting after so long at the loops; 0: none (as chosen last, else 25)",
    )


def _add_names(group: argparse._ArgumentGroup) -> None:
    group.add_argument(
        "--braiders", metavar="NAMES", help='what several braiders are called, from left to right: "Ann,Bea"'
    )


def _add_pace(command: argparse.ArgumentParser) -> None:
    pace = command.add_argument_group("pace")
    pace.add_argument(
        "--pace",
        choices=("step", "timed", "mine"),
        default="step",
        help="wait for next; keep a steady beat; or a beat that slowly follows yours",
    )
    pace.add_argument(
        "--seconds-per-move",
        type=_seconds,
        default=None,
        metavar="S",
        help="from beat to beat (the beat of the last time, else 6)",
    )
    pace.add_argument("--ticks", choices=("on", "off"), default="on", help="soft ticks on the beat and half way (on)")
    pace.add_argument(
        "--still-there",
        type=_silence,
        default=None,
        metavar="S",
        help="ask after so many seconds without word, key or sound; 0: never (two cycles, at least 60; waiting for "
        "next: 300)",
    )


def _add_senses(command: argparse.ArgumentParser) -> None:
    sound = command.add_argument_group("ear and voice")
    _add_ear(sound)
    sound.add_argument(
        "--voice",
        choices=("auto", "clips", "engine", "off"),
        default="auto",
        help="recorded clips, the computer's speech engine, or both as needed (auto)",
    )
    sound.add_argument("--to-audio", type=Path, metavar="OUT.WAV", help="write all that is spoken to a file")
    sound.add_argument("--speaker", metavar="DEVICE", help="a loudspeaker by name or number (see sound-check)")
    sound.add_argument(
        "--headphones", action="store_true", help="listen while speaking, too: a word cuts a prompt short"
    )
    command.add_argument(
        "--plain",
        action="store_true",
        help="one line for each event instead of the screen, for screen readers and logs",
    )


def _add_cords(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    check = _add_question(commands, "check", "what cord a recipe makes, and what is wrong with it")
    check.add_argument("recipes", nargs="+", metavar="RECIPE", help="names of cords or recipe files")
    check.add_argument("--explain", action="store_true", help="with the mathematics: braid word and orbits")
    compare = _add_question(commands, "compare", "whether two recipes make the same cord")
    compare.add_argument("first", metavar="A", help="a cord's name or a recipe file")
    compare.add_argument("second", metavar="B", help="another one")
    compare.add_argument("--explain", action="store_true", help="with the mathematics: invariants and witness")
    layouts = _add_question(commands, "layouts", "every way to load the loops that gives the same pattern")
    layouts.add_argument("recipe", help="a cord's name or a recipe file")
    layouts.add_argument("--colourway", metavar="NAME", help="one of the recipe's colourways (the first if not given)")
    patterns = _add_question(commands, "patterns", "every pattern that so many loops of each colour can give")
    patterns.add_argument("recipe", help="a cord's name or a recipe file")
    patterns.add_argument(
        "--loops", required=True, metavar="LIST", help='loops of each colour: "light=4,dark=6" or "light over dark=10"'
    )
    patterns.add_argument(
        "--limit", type=_number, default=None, metavar="N", help="how many to list (20), or to draw (500)"
    )
    patterns.add_argument(
        "--picture", type=Path, metavar="FILE", help="draw them all on one page, gallery.html, to look at in a browser"
    )
    place = _add_question(commands, "place", "which move comes next, from the colours seen on some fingers")
    place.add_argument("recipe", help="a cord's name or a recipe file")
    place.add_argument(
        "--seen", required=True, metavar="LIST", help='"left thumb=light, right index=dark, left ring=nothing"'
    )
    place.add_argument("--colourway", metavar="NAME", help="the colourway being braided (the first if not given)")
    _add_recognise(commands)
    _add_plan(commands)
    _add_picture(commands)


def _add_recognise(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    what = "which recipe and pattern made a cord, from what is seen of it; without options it asks"
    recognise = _add_question(commands, "recognise", what)
    recognise.add_argument("recipes", nargs="*", metavar="FILE", help="recipe files to search, too")
    recognise.add_argument("--edges", metavar="WORD", help="open, closed, or one (one of them is open)")
    recognise.add_argument("--layers", metavar="WORD", help="joined or divided")
    recognise.add_argument("--ridges", metavar="N", help="how many on the face before you, the upper one")
    recognise.add_argument("--colours", metavar="LIST", help='loops of each colour: "light=4,dark=6"')
    recognise.add_argument(
        "--share",
        action="append",
        default=[],
        metavar="SHARE",
        help='how much of the face before you a colour covers, by eye: "dark=60%%"; may be repeated',
    )
    recognise.add_argument(
        "--seen",
        action="append",
        default=[],
        metavar="RIDGE",
        help='colours along a ridge: "upper left ridge: light light dark", "lower ridge 2: dark"; may be repeated',
    )
    recognise.add_argument("--limit", type=_number, default=None, metavar="N", help="how many to show (10)")
    recognise.add_argument("--picture", type=Path, metavar="FILE", help="draw them side by side on a page: cords.html")


def _add_picture(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    what = "what the cord looks like, both faces: in the terminal, as SVG or as PNG"
    picture = commands.add_parser("picture", help=what, description=what[0].upper() + what[1:] + ".")
    picture.set_defaults(run=_picture)
    picture.add_argument("recipe", metavar="RECIPE", help="a cord's name or a recipe file")
    picture.add_argument("--colourway", metavar="NAME", help="one of the recipe's colourways (the first if not given)")
    length = picture.add_mutually_exclusive_group()
    length.add_argument("--repeats", type=_count, metavar="N", help="colour repeats to draw (about 15 cycles)")
    length.add_argument("--cycles", type=_count, metavar="N", help="cycles to draw")
    picture.add_argument("--face", choices=("upper", "lower", "both"), default="both", help="which face (both)")
    picture.add_argument(
        "--tight",
        action="store_true",
        help="drawn tight, simulated: takes some seconds for each cord, the first time",
    )
    picture.add_argument("--out", type=Path, metavar="FILE", help="cord.svg or cord.png (else in the terminal)")


def _add_plan(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    plan = _add_question(
        commands, "plan", "how much yarn a cord takes, how long the loops are, and whether one reaches"
    )
    plan.add_argument("recipe", help="a cord's name or a recipe file")
    plan.add_argument("--length", required=True, metavar="LENGTH", help="of the finished cord: 60cm, 600mm, 0.6m, 24in")
    plan.add_argument(
        "--yarn",
        required=True,
        action="append",
        metavar="YARN",
        help='its count and fibre (cotton if not given): "tex 300", "Nm 8/2 linen", "Ne 10/2", "denier 900",'
        ' "wpi 30"; for one colour "light=tex 300"; may be given for each',
    )
    plan.add_argument("--colourway", metavar="NAME", help="one of the recipe's colourways (the first if not given)")
    plan.add_argument(
        "--reach",
        action="append",
        default=[],
        metavar="LENGTH",
        help="the longest loop that you can tighten alone (80cm); of one of two braiders: one=75cm",
    )
    plan.add_argument(
        "--measured",
        action="append",
        default=[],
        metavar="CYCLES=LENGTH",
        help="a piece that you measured, of this cord and yarn, as in 40=22cm; may be given several times; else the"
        " journal's; none: leave those out, too",
    )


def _add_question(
    commands: argparse._SubParsersAction[argparse.ArgumentParser], name: str, what: str
) -> argparse.ArgumentParser:
    """A question to the engine: it answers in words, or in JSON."""
    question = commands.add_parser(name, help=what, description=what[0].upper() + what[1:] + ".")
    question.add_argument("--json", action="store_true", help="answer in JSON")
    question.set_defaults(run=_ask, question=name)
    return question


def _add_journal(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    journal = commands.add_parser(
        "journal",
        help="look back: sessions, pace, and which moves give trouble; export, delete",
        description="Looks back on what was braided: sessions, totals, pace of each cycle, trouble with each move. "
        "Nothing leaves this computer.",
    )
    journal.set_defaults(run=_journal)
    journal.add_argument("recipe", nargs="?", help="one cord only: its name, or the recipe file of your own")
    instead = journal.add_mutually_exclusive_group()
    instead.add_argument("--svg", type=Path, metavar="FILE", help="draw pace and trouble as a picture")
    instead.add_argument("--json", action="store_true", help="everything in the journal as JSON")
    instead.add_argument(
        "--csv", type=Path, metavar="PATH", help="everything as CSV: tables in a folder, or in one file PATH.csv"
    )
    instead.add_argument(
        "--delete",
        nargs="+",
        metavar="WHAT",
        help="delete for good, after asking: recipes by name, sessions by number, or all",
    )
    journal.add_argument("--yes", action="store_true", help="don't ask before deleting")
    journal.add_argument("--plain", action="store_true", help="one line for each fact, for screen readers and logs")


def _add_sound_check(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    check = commands.add_parser(
        "sound-check",
        help="which devices, ears and voices there are; a level meter; say a word",
        description="Shows which devices, ears and voices there are, then the level of the microphone and the "
        "words that are heard, until Ctrl-C or for as long as --seconds says.",
    )
    check.set_defaults(run=_sound_check)
    _add_ear(check)
    check.add_argument("--speaker", metavar="DEVICE", help="a loudspeaker by name or number")
    check.add_argument("--seconds", type=_seconds, default=None, metavar="S", help="how long to listen")
    check.add_argument("--get-model", action="store_true", help="fetch the English vosk model (about 41 MB), only now")
    check.add_argument("--yes", action="store_true", help="don't ask before fetching")
    check.add_argument(
        "--record",
        type=Path,
        metavar="FOLDER",
        help="record your own voice saying each word, after asking; it is kept in that folder only",
    )
    check.add_argument(
        "--teach",
        action="store_true",
        help="teach the built-in ear how you say the words, after asking; what it heard is kept, the sound isn't",
    )
    check.add_argument("--forget", action="store_true", help="delete what --teach kept")


def _add_ear(group: argparse.ArgumentParser | argparse._ArgumentGroup) -> None:
    group.add_argument(
        "--listen",
        choices=("auto", "moonshine", "vosk", "sphinx", "keys"),
        default="auto",
        help="which ear listens; keys: none, keys and pedals only",
    )
    group.add_argument(
        "--sensitivity",
        choices=("careful", "normal", "eager"),
        default="normal",
        help="careful: rather miss a word than imagine one; eager: the other way round",
    )
    group.add_argument("--model", type=Path, metavar="FOLDER", help="a vosk model on disk (else VOSK_MODEL_PATH)")
    group.add_argument("--vocabulary", type=Path, metavar="FILE", help="another file of the words to listen for")
    group.add_argument("--from-audio", type=Path, metavar="IN.WAV", help="a sound file instead of the microphone")
    group.add_argument("--microphone", metavar="DEVICE", help="a microphone by name or number (see sound-check)")


def _count(text: str) -> int:
    """How many cycles, repeats or rounds."""
    if not text.isascii() or not text.isdigit() or not 1 <= int(text) <= 100_000:
        raise argparse.ArgumentTypeError(f"{text!r} is not a number of times; give a whole number from 1 to 100000")
    return int(text)


def _number(text: str) -> int:
    """How many at the most."""
    if not text.isascii() or not text.isdigit():
        raise argparse.ArgumentTypeError(f"{text!r} is not a number; give a whole number from 0 upwards")
    return int(text)


def _seconds(text: str) -> float:
    """A time in seconds."""
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not 0.1 <= value <= 3600:
        raise argparse.ArgumentTypeError(f"{text!r} is not a time; give seconds from 0.1 to 3600")
    return value


def _rest(text: str) -> float:
    """Minutes between two rests; 0 for none."""
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if value != 0 and not 1 <= value <= 240:
        raise argparse.ArgumentTypeError(
            f"{text!r} is no time to rest after; give minutes from 1 to 240, or 0 for none"
        )
    return value


def _silence(text: str) -> float:
    """A silence in seconds; 0 for never."""
    return 0.0 if text.strip() == "0" else _seconds(text)


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


def _recipes(options: argparse.Namespace) -> int:
    from companion.session.listing import list_recipes

    return list_recipes()


def _ask(options: argparse.Namespace) -> int:
    from companion.session import cords, planning, recognising

    questions = {
        "check": cords.check_recipes,
        "compare": cords.compare,
        "layouts": cords.layouts,
        "patterns": cords.patterns,
        "place": cords.place,
        "plan": planning.plan,
        "recognise": recognising.recognise,
    }
    return questions[options.question](options)


def _picture(options: argparse.Namespace) -> int:
    from companion.session.picturing import picture

    return picture(options)


def _journal(options: argparse.Namespace) -> int:
    from companion.session.journal_command import journal

    return journal(options)


def _sound_check(options: argparse.Namespace) -> int:
    from companion.session.silenced_libraries import silenced_libraries
    from companion.session.sound_check import sound_check

    with silenced_libraries():
        return sound_check(options)


if __name__ == "__main__":
    sys.exit(main())
