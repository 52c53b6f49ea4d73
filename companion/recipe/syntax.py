"""A recipe file that is not TOML: where it goes wrong, in plain words.

Only the first such place can be known: what follows it has no certain meaning.
"""

from __future__ import annotations

import re

from companion.recipe.problems import Problem

_POSITION = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")
_KEY = re.compile(r"\s*([\w-]+)\s*=")

# How tomllib's messages begin, and what an author should do.
_ADVICE = {
    "Expected '=' after a key": 'after a key comes =, then a value: title = "Lacing cord"',
    "Cannot overwrite a value": "this key is given twice in one place; keep one of the two",
    "Cannot declare": "this heading, or a key of its name, is given twice; keep one of the two",
    "Cannot mutate": "this heading, or a key of its name, is given twice; keep one of the two",
    "Illegal character": "a text ends on its own line with the mark it began with, and holds no control character",
    "Unterminated string": "a text is not closed before the end of the file; end it with its quotation marks",
    "Unclosed array": "a list is not closed before here; put commas between its entries and ] at its end",
    "Unclosed inline table": "a table in braces is not closed before here; put commas between entries and } at its end",
    "Invalid value": "a value is needed here: a text in quotation marks, a list in square brackets, or true",
    "Invalid initial character for a key part": "a key is needed here; put a key of several words in quotation marks",
    "Expected newline or end of document": "one key and its value fill a line; begin the next on a new line",
    "Invalid statement": "a line holds a key, = and a value, or a heading in square brackets",
    "Expected ']": "a heading is not closed; end it with as many ] as it has [",
    "Found invalid character": "a comment holds a control character; take it out",
    "Unescaped '\\' in a string": "a backslash in a text must be written twice",
}


def syntax_problem(error: ValueError | RecursionError, text: str) -> Problem:
    """The mistake that keeps a text from being TOML, as tomllib found it."""
    if isinstance(error, RecursionError):
        return Problem(1, "", "the lists in this file lie too deep inside each other")
    came = str(error)
    position = _POSITION.search(came)
    if position is None:
        return Problem(1, "", "a number in this file is too long")
    lines = text.replace("\r\n", "\n").split("\n")
    line, column = (int(position[1]), f" (column {position[2]})") if position[1] else (len(lines), "")
    advice = next((advice for start, advice in _ADVICE.items() if came.startswith(start)), "this is not TOML")
    key = _KEY.match(lines[line - 1])
    after = "; what follows is read once this is right" if line < len(lines) else ""
    return Problem(line, key[1] if key else "", f"{advice}{column}{after}")
