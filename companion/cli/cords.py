"""Questions about cords and recipes: recipes, check, compare, layouts, patterns, place, recognise, plan, picture."""

from __future__ import annotations

import argparse
from pathlib import Path

from companion.cli.braiding_options import add_colourway, add_recipe
from companion.cli.values import count, number
from companion.cli.writing import add_replace


def add_cords(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """The commands about cords."""
    recipes = commands.add_parser("recipes", help="list the cords there are: by braiders, then by loops")
    recipes.set_defaults(run=_recipes)
    recipes.add_argument("--braiders", type=count, metavar="N", help="only cords for so many braiders")
    recipes.add_argument("--loops", type=count, metavar="N", help="only cords of so many loops")
    recipes.add_argument("--json", action="store_true", help="answer in JSON")
    check = _add_question(commands, "check", "what cord a recipe makes, and what is wrong with it")
    check.add_argument("recipes", nargs="+", metavar="RECIPE", help="names of cords or recipe files")
    check.add_argument("--explain", action="store_true", help="with the mathematics: braid word and orbits")
    check.add_argument("--plain", action="store_true", help="hands in words instead of drawn, for screen readers")
    check.add_argument(
        "--watch", action="store_true", help="keep looking, and tell after every change of a file; Ctrl-C ends"
    )
    check.add_argument(
        "--colourway", metavar="NAME", help="with --watch: the colourway that is shown (the first if not given)"
    )
    compare = _add_question(commands, "compare", "whether two recipes make the same cord")
    compare.add_argument("first", metavar="A", help="a cord's name or a recipe file")
    compare.add_argument("second", metavar="B", help="another one")
    compare.add_argument("--explain", action="store_true", help="with the mathematics: invariants and witness")
    layouts = _add_question(commands, "layouts", "every way to load the loops that gives the same pattern")
    add_recipe(layouts)
    add_colourway(layouts)
    patterns = _add_question(commands, "patterns", "every pattern that so many loops of each colour can give")
    add_recipe(patterns)
    patterns.add_argument(
        "--loops", required=True, metavar="LIST", help='loops of each colour: "light=4,dark=6" or "light over dark=10"'
    )
    patterns.add_argument(
        "--limit", type=number, default=None, metavar="N", help="how many to list (20), or to draw (500)"
    )
    patterns.add_argument(
        "--picture", type=Path, metavar="FILE", help="draw them all on one page, gallery.html, to look at in a browser"
    )
    add_replace(patterns)
    place = _add_question(commands, "place", "which move comes next, from the colours seen on some fingers")
    add_recipe(place)
    place.add_argument(
        "--seen", required=True, metavar="LIST", help='"left thumb=light, right index=dark, left ring=nothing"'
    )
    add_colourway(place)
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
    recognise.add_argument("--lower-ridges", metavar="N", help="how many on the other face")
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
    recognise.add_argument("--limit", type=number, default=None, metavar="N", help="how many to show (10)")
    recognise.add_argument("--picture", type=Path, metavar="FILE", help="draw them side by side on a page: cords.html")
    add_replace(recognise)


def _add_picture(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    what = "what the cord looks like, both faces: in the terminal, as SVG or as PNG"
    picture = commands.add_parser("picture", help=what, description=what[0].upper() + what[1:] + ".")
    picture.set_defaults(run=_picture)
    add_recipe(picture)
    add_colourway(picture)
    length = picture.add_mutually_exclusive_group()
    length.add_argument("--repeats", type=count, metavar="N", help="colour repeats to draw (about 15 cycles)")
    length.add_argument("--cycles", type=count, metavar="N", help="cycles to draw")
    picture.add_argument("--face", choices=("upper", "lower", "both"), default="both", help="which face (both)")
    picture.add_argument(
        "--tight",
        action="store_true",
        help="drawn tight, simulated: takes some seconds for each cord, the first time",
    )
    picture.add_argument("--out", type=Path, metavar="FILE", help="cord.svg or cord.png (else in the terminal)")
    add_replace(picture)


def _add_plan(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    plan = _add_question(
        commands, "plan", "how much yarn a cord takes, how long the loops are, and whether one reaches"
    )
    add_recipe(plan)
    plan.add_argument("--length", required=True, metavar="LENGTH", help="of the finished cord: 60cm, 600mm, 0.6m, 24in")
    plan.add_argument(
        "--yarn",
        required=True,
        action="append",
        metavar="YARN",
        help='its count and fibre (cotton if not given): "tex 300", "Nm 8/2 linen", "Ne 10/2", "denier 900",'
        ' "wpi 30"; for one colour "light=tex 300"; may be given for each',
    )
    add_colourway(plan)
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


def _recipes(options: argparse.Namespace) -> int:
    from companion.session.listing import list_recipes

    return list_recipes(options.braiders, options.loops, options.json)


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
