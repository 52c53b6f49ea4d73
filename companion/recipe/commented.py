"""A recipe's text with every key explained beside it, for whoever writes one for the first time.

The text is companion.recipe.writing's, with comments between; what the recipe doesn't use stands in it as an example
behind #, which is right as soon as the # is taken out.
"""

from __future__ import annotations

from collections.abc import Iterator

from companion.recipe.model import Action, Exchange, Move, Pass, Passing, Recipe, Shift, Take, Tighten, Turn, Turned
from companion.recipe.move_reading import LONGEST_CUE, LONGEST_SAY
from companion.recipe.reading import LONGEST_TITLE
from companion.recipe.writing import comment, write_move, write_recipe

_HEAD = """{title}: a recipe to be filled in. It can be braided as it stands. Change it to what your cord is.
While you do, this shows after every change what comes of it: companion check --watch {file}

How it is written:
- What follows a # is for the reader; the program leaves it out. An example is used once its # is taken away.
- A line says one thing: a key, =, and its value. Words stand in plain quotation marks: "left index".
- Several values stand in square brackets, with commas between: ["left index", "left middle"].
- A finger is named by its hand and itself: "left index". The fingers are thumb, index, middle, ring and little.{team}
"""
_TEAM = """
- Where several braid, each finger is named with its braider, from the left: "one left index", "two left index"."""

_BEFORE_KEYS = {
    "title": f"What the cord is called ({LONGEST_TITLE} letters at most), and a sentence about it.",
    "source": 'Where the recipe comes from, and how sure that is: "published" (it stands in print), "from memory",\n'
    '"common practice" (many braid it so) or "own" (thought out by yourself).',
    "held": 'How the hands are held: "index fingers in the middle" or "little fingers in the middle" (palms up).',
    "loops": "Every finger that holds a loop before the first move.",
}
_BRAIDERS = "How many braiders work the cord, side by side: 1, 2 or 3."
_NOTE = 'note = "What else one should know of this cord. It may be left out."'

_COLOURS = """The colours of the yarn, each with a name of your own and how it looks on the screen: # and six digits
or letters a to f, two each for red, green and blue."""
_THICKNESS = """A yarn that is thicker or thinner than the others is given so; 2 is twice as thick.
gold = { fill = "#d4a017", thickness = 2 }"""
_COLOURWAYS = "A colourway gives every loop its colour. The first one is used where none is named; others may follow."
_BICOLOUR = "A loop of two colours, two yarns tied end to end, is named with its upper shank first."

_CYCLE = """The cycle: what is braided over and over. Each move begins with [[cycle]] on a line of its own, one
below the other. After the last move the loops must lie on the fingers that held loops before the first."""
_TAKE = """take: the finger "by" fetches the loop of the finger "take" and keeps it. On its way it goes
through: into every loop listed, from the first to the last; or
over, under: wholly over or under those loops.
Every loop that lies between the two fingers must be listed under one of these three.
If the finger "by" holds a loop, it goes through that one first: list it, too. Then a shift must follow.
turned: "inward": on the way the upper shank of the loop rolls towards the middle of the braid and down
(it is taken from above); "outward": the other way round; "unturned", or no such line: it stays above."""
_WORDS = f"""Two more lines may stand in any move: your own words for it, spoken instead of the program's
({LONGEST_SAY} letters at most), and a cue, a word or two for whoever knows the move ({LONGEST_CUE} at most).
say = "Fetch the far loop"
cue = "Far one\""""
_KINDS: dict[type[Action], str] = {
    Take: _TAKE,
    Shift: "shift: loops walk along the fingers of one hand, each to an empty finger, in the order of the list.",
    Exchange: """exchange: two neighbouring loops change places, one of them "inside" the other, or wholly "over" or
"under" it: the key names the finger whose loop passes. turned: as with take, for both; or for each:
turned = { "FINGER" = "inward", "OTHER FINGER" = "outward" }""",
    Tighten: "tighten: the hands part, and what has been braided is drawn tight.",
    Pass: """pass: a loop changes fingers without being fetched; it passes wholly over or under every loop in its way.
turned: as with take.""",
    Turn: 'turn: a loop makes half a turn where it is. way: "inward" or "outward".',
}
_OTHERS = "Other kinds of move, as examples:\n"


def commented(recipe: Recipe, file: str) -> str:
    """The text of a recipe that begins with a take; ``file``: what it will be called."""
    notes: dict[int, str] = {}
    seen: set[type[Action]] = set()
    for number, move in enumerate(recipe.cycle):
        kind = type(move.action)
        if kind not in seen:
            seen.add(kind)
            notes[number] = _explained(move.action)
    notes[0] = f"{_CYCLE}\n\n{notes[0]}"
    head = _HEAD.format(title=recipe.title, file=file, team=_TEAM if recipe.braiders > 1 else "")
    text = write_recipe(recipe, head, notes)
    return "".join(_with_comments(text.splitlines(), recipe)) + _other_moves(recipe, seen)


def _with_comments(lines: list[str], recipe: Recipe) -> Iterator[str]:
    """The lines of a recipe, each with what is to be said before it."""
    heading, colourways = "", 0
    for line in lines:
        key = line.partition(" = ")[0]
        if not line:
            yield comment({"[colours]": _THICKNESS, "[[cycle]]": _WORDS}.get(heading, ""))
            heading = "past" if heading == "[[cycle]]" else heading
        elif line == "[colours]":
            heading = line
            yield comment(_COLOURS)
        elif line.startswith("[colourways."):
            heading, colourways = "", colourways + 1
            yield comment(("", _COLOURWAYS, _BICOLOUR)[min(colourways, 2)])
        elif line == "[[cycle]]":
            heading = heading or line
        elif not heading and not colourways:
            yield from _before_key(key, recipe)
        yield f"{line}\n"


def _before_key(key: str, recipe: Recipe) -> Iterator[str]:
    """What is said of a key at the top of the file, and the lines that the written text leaves out."""
    if key == "source":
        yield comment(_NOTE)
    if key == "loops" and recipe.braiders == 1:
        yield f"\n{comment(_BRAIDERS)}braiders = 1\n"
    words = _BRAIDERS if key == "braiders" else _BEFORE_KEYS.get(key)
    if words:
        yield f"\n{comment(words)}"


def _explained(action: Action) -> str:
    """What a kind of move is, and how it is written."""
    return _KINDS[type(action)]


def _other_moves(recipe: Recipe, seen: set[type[Action]]) -> str:
    """The kinds of move that the recipe doesn't use, each as an example behind #."""
    begins = recipe.cycle[0].action
    assert isinstance(begins, Take)
    middle = len(recipe.loops) // 2
    left, right = recipe.loops[middle - 1 : middle + 1]
    examples: tuple[Action, ...] = (
        Exchange(left, right, Passing.INSIDE, Turned.INWARD, Turned.INWARD),
        Pass(begins.take, begins.by, over=begins.through),
        Turn(recipe.loops[0], Turned.INWARD),
    )
    parts = [
        f"{_explained(action)}\n{write_move(Move(action), recipe.braiders)}"
        for action in examples
        if type(action) not in seen
    ]
    return "\n" + comment("\n".join([_OTHERS, *parts]).rstrip())
