"""A recipe file that is not TOML: where it goes wrong, in plain words.

Only the first such place can be known: what follows it has no certain meaning.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from companion.recipe.problems import Problem, Span, cut

_POSITION = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")
_KEY = re.compile(r"\s*([\w-]+)\s*=")
_CLOSED_TEXT = re.compile(r'"(?:[^"\\]|\\.)*"' + r"|'[^']*'")
_TYPOGRAPHIC = "“”„‟‘’‚‛«»″′"
_NO_PLAIN_BLANK = re.compile("[\u00a0\u2000-\u200b\u202f\u205f\u2060\u3000\ufeff]+")
_CYCLE_HEADING = re.compile(r"\s*\[+\s*cycle\s*\]+")
_SEVERAL_WORDS = re.compile(r"\s*([^\W\d][\w-]*(?:[ \t]+[\w-]+)+)\s*=")
_BARE = re.compile(r'[^,\]}"\[{]*')
_RTF = "{\\rtf"

# How the other messages of tomllib begin, and what an author should do.
_ADVICE = {
    "Expected '=' after a key": 'after a key comes =, then a value: title = "Lacing cord"',
    "Cannot overwrite a value": "this key is given twice in one place; keep one of the two",
    "Cannot declare": "this heading, or a key of its name, is given twice; keep one of the two",
    "Cannot mutate": "this heading, or a key of its name, is given twice; keep one of the two",
    "Illegal character": "a text may hold no control character; take it out",
    "Unterminated string": "a text is not closed before the end of the file; end it with its quotation marks",
    'Expected "\'"': "a text is not closed before the end of the file; end it with its quotation marks",
    "Unclosed inline table": "a table in braces is not closed before here; put commas between entries and } at its end",
    "Invalid value": "a value is needed here: a text in quotation marks, a list in square brackets, or true",
    "Invalid initial character for a key part": "a key is needed here; put a key of several words in quotation marks",
    "Expected newline or end of document": "one key and its value fill a line; begin the next on a new line",
    "Invalid statement": "a line holds a key, = and a value, or a heading in square brackets; a comment begins with #",
    "Expected ']": "a heading is not closed; end it with as many ] as it has [",
    "Found invalid character": "a comment holds a control character; take it out",
    "Unescaped '\\' in a string": "a backslash in a text must be written twice",
}


@dataclass(frozen=True)
class _Place:
    """Where tomllib stopped: what it said, the lines of the file, the line from 0 and the character in it from 0."""

    came: str
    lines: Sequence[str]
    row: int
    at: int

    @property
    def line(self) -> str:
        return self.lines[self.row]

    @property
    def here(self) -> str:
        """The character at which it stopped; empty at the end of a line."""
        return self.line[self.at : self.at + 1]


@dataclass(frozen=True)
class _Found:
    """What an author should do, and which characters of which line (from 0) are wrong."""

    advice: str
    row: int
    start: int
    end: int


def syntax_problem(error: ValueError | RecursionError, text: str) -> Problem:
    """The mistake that keeps a text from being TOML, as tomllib found it."""
    if isinstance(error, RecursionError):
        return Problem(1, "", "the lists in this file lie too deep inside each other")
    if text.startswith(_RTF):
        return Problem(1, "", "this is a word processor's file; save it as plain text (UTF-8)")
    came = str(error)
    position = _POSITION.search(came)
    if position is None:
        return Problem(1, "", "a number in this file is too long")
    lines = text.replace("\r\n", "\n").split("\n")
    if position[1]:
        place = _Place(came, lines, int(position[1]) - 1, int(position[2]) - 1)
    else:
        last = max((row for row, line in enumerate(lines) if line.strip()), default=0)
        place = _Place(came, lines, last, len(lines[last]))
    found = next((found for look in _LOOKS if (found := look(place)) is not None), None) or _otherwise(place)
    key = _KEY.match(lines[found.row])
    column = f" (column {found.start + 1})" if position[1] else ""
    after = "; what follows is read once this is right" if any(line.strip() for line in lines[place.row + 1 :]) else ""
    mark = Span(found.row + 1, found.start, max(found.end, found.start + 1))
    return Problem(found.row + 1, key[1] if key else "", f"{found.advice}{column}{after}", mark)


def _otherwise(place: _Place) -> _Found:
    advice = next((advice for start, advice in _ADVICE.items() if place.came.startswith(start)), "this is not TOML")
    if place.came.startswith("Cannot"):
        # What is given twice is known only when the line has been read.
        line = place.line.partition(" #")[0].rstrip()
        return _Found(advice, place.row, len(line) - len(line.lstrip()), len(line))
    return _Found(advice, place.row, place.at, place.at + 1)


def _typographic_marks(place: _Place) -> _Found | None:
    """Quotation marks as word processors make them: outside of texts in plain ones they mean nothing."""
    outside = _CLOSED_TEXT.sub(lambda text: " " * len(text[0]), place.line.partition(" #")[0])
    found = next((at for at, sign in enumerate(outside) if sign in _TYPOGRAPHIC), None)
    if found is None:
        return None
    closing = next((at for at in range(found + 1, len(outside)) if outside[at] in _TYPOGRAPHIC + '"'), found)
    advice = 'these are a word processor\'s quotation marks; write plain ones, as in "left index"'
    return _Found(advice, place.row, found, closing + 1)


def _strange_blank(place: _Place) -> _Found | None:
    blank = _NO_PLAIN_BLANK.match(place.line, place.at)
    if blank is None:
        return None
    return _Found("this blank is none of the space bar's; write it anew", place.row, *blank.span())


def _heading_of_a_move(place: _Place) -> _Found | None:
    if not _CYCLE_HEADING.match(place.line):
        return None
    headings = [(row, found) for row, line in enumerate(place.lines) if (found := _CYCLE_HEADING.match(line))]
    row, heading = next(((row, found) for row, found in headings if found[0].strip() != "[[cycle]]"), headings[-1])
    return _Found("every move begins with [[cycle]], with two brackets on each side", row, *heading.span())


def _no_value(place: _Place) -> _Found | None:
    """Something stands where a value should, but it is none."""
    if not place.came.startswith("Invalid value") or not place.here.strip():
        return None
    if place.here in "=,":
        return _Found(f'there is a "{place.here}" too many; take it out', place.row, place.at, place.at + 1)
    if place.here == "(":
        return _Found('a list stands in square brackets: ["left ring"]', place.row, place.at, place.at + 1)
    bare = _BARE.match(place.line, place.at)
    word = (bare[0] if bare else "").partition(" #")[0].strip()
    if not word:
        return None
    advice = f'a text stands in quotation marks: "{cut(word)}"'
    if word.lower() in ("true", "yes", "on"):
        advice = "only true is written here, in small letters and without quotation marks"
    return _Found(advice, place.row, place.at, place.at + len(word))


def _open_list(place: _Place) -> _Found | None:
    """A list in which a comma or quotation mark is missing, or its end."""
    if not place.came.startswith("Unclosed array"):
        return None
    if place.here in ('"', "'"):
        return _Found("a comma is missing before this entry of the list", place.row, place.at, place.at + 1)
    row = next((row for row in range(place.row, -1, -1) if re.match(r"\s*[^#=]+=\s*\[", place.lines[row])), place.row)
    if row == place.row and place.here:
        return _Found("a quotation mark or a comma is missing before this", row, place.at, place.at + 1)
    opened = place.lines[row].find("[", place.lines[row].find("="))
    return _Found("this list is not closed; put ] after its last entry", row, opened, len(place.lines[row].rstrip()))


def _open_text(place: _Place) -> _Found | None:
    if not place.came.startswith("Illegal character '\\n'"):
        return None
    outside = _CLOSED_TEXT.sub(lambda text: " " * len(text[0]), place.line)
    opened = min((at for at in (outside.find('"'), outside.find("'")) if at >= 0), default=place.at)
    mark = outside[opened : opened + 1] or '"'
    advice = f"this text is not closed; put {mark} at its end, on the same line"
    return _Found(advice, place.row, opened, len(place.line.rstrip()))


def _more_on_the_line(place: _Place) -> _Found | None:
    """Something follows a value that is complete."""
    if not place.came.startswith("Expected newline") or not place.here:
        return None
    rest = place.line[place.at :]
    if place.here == ",":
        advice = 'several values stand in square brackets, with commas between: ["left index", "left middle"]'
    elif place.here in ";.":
        advice = f'there is a "{place.here}" too many; take it out'
    elif not _KEY.match(rest) and rest.rstrip().endswith(('"', "'")):
        advice = "a text ends at its first quotation mark; take those inside it out"
    else:
        return None
    return _Found(advice, place.row, place.at, place.at + 1)


def _no_key(place: _Place) -> _Found | None:
    if not place.came.startswith("Expected '='"):
        return None
    words = _SEVERAL_WORDS.match(place.line)
    if words:
        return _Found(f'a key of several words stands in quotation marks: "{cut(words[1])}"', place.row, *words.span(1))
    if place.here == ":":
        return _Found('after a key comes =, not ":"', place.row, place.at, place.at + 1)
    return None


_LOOKS: tuple[Callable[[_Place], _Found | None], ...] = (
    _typographic_marks,
    _strange_blank,
    _heading_of_a_move,
    _no_value,
    _open_list,
    _open_text,
    _more_on_the_line,
    _no_key,
)
