"""A file that is not TOML is reported at the place where it goes wrong, in words an author can use."""

from __future__ import annotations

import pytest

from companion.loops.rehearse import read_recipe

CASES: dict[str, tuple[dict[int, str], tuple[int, str, str, str]]] = {
    # The line, the key, some of the words, and what is pointed at.
    "text not closed": ({1: 'title = "Purse string'}, (1, "title", 'not closed; put " at its end', '"Purse string')),
    "text of many lines not closed": ({28: 'say = """beat'}, (28, "say", "not closed before the end of the file", "")),
    "list not closed": (
        {6: 'loops = ["left ring"'},
        (6, "loops", "this list is not closed; put ] after its last entry", '["left ring"'),
    ),
    "comma missing": ({6: 'loops = ["left ring" "left middle"]'}, (6, "loops", "a comma is missing before", '"')),
    "closing mark missing in a list": (
        {6: 'loops = ["left ring, "left middle"]'},
        (6, "loops", "a quotation mark or a comma is missing before this", "l"),
    ),
    "comma too many": ({6: 'loops = ["left ring",, "left middle"]'}, (6, "loops", '"," too many; take it out', ",")),
    "list in round brackets": ({6: 'loops = ("left ring")'}, (6, "loops", "a list stands in square brackets", "(")),
    "list without brackets": (
        {6: 'loops = "left ring", "left middle"'},
        (6, "loops", 'several values stand in square brackets, with commas between: ["left index"', ","),
    ),
    "value missing": ({4: "sure ="}, (4, "sure", "a value is needed here", "")),
    "text without quotation marks": ({4: "sure = own"}, (4, "sure", 'a text stands in quotation marks: "own"', "own")),
    "fill without quotation marks": ({8: "light = #efdfb8"}, (8, "light", 'quotation marks: "#efdfb8"', "#efdfb8")),
    "finger without quotation marks": (
        {6: "loops = [left ring, left middle]"},
        (6, "loops", 'a text stands in quotation marks: "left ring"', "left ring"),
    ),
    "true in capitals": (
        {28: "tighten = TRUE"},
        (28, "tighten", "only true is written here, in small letters", "TRUE"),
    ),
    "a word processor's quotation marks": (
        {4: "sure = “own”"},
        (4, "sure", 'a word processor\'s quotation marks; write plain ones, as in "left index"', "“own”"),
    ),
    "one of them at the end": ({4: 'sure = "own”'}, (4, "sure", "a word processor's quotation marks", "”")),
    "around a finger": ({11: "“left middle” = 'light'"}, (11, "", "a word processor's", "“left middle”")),
    "a word processor's blank": ({4: 'sure =\u00a0"own"'}, (4, "sure", "none of the space bar's", "\u00a0")),
    "a word processor's file": ({1: "{\\rtf1 title"}, (1, "", "a word processor's file; save it as plain text", "")),
    "equals sign missing": ({4: "sure"}, (4, "", "after a key comes =", "")),
    "colon for the equals sign": ({4: 'sure: "own"'}, (4, "", 'after a key comes =, not ":"', ":")),
    "two equals signs": ({4: 'sure == "own"'}, (4, "sure", '"=" too many', "=")),
    "semicolon at the end": ({4: 'sure = "own";'}, (4, "sure", '";" too many', ";")),
    "quotation marks in a text": (
        {2: 'about = "For the "small" purse"'},
        (2, "about", "a text ends at its first quotation mark; take those inside it out", "s"),
    ),
    "spaced key": (
        {11: 'left middle = "light"'},
        (11, "", 'a key of several words stands in quotation marks: "left middle"', "left middle"),
    ),
    "key given twice": (
        {2: 'title = "Cord"'},
        (2, "title", "this key is given twice in one place", 'title = "Cord"'),
    ),
    "heading given twice": ({9: "[colours]"}, (9, "", "is given twice", "[colours]")),
    "heading not closed": ({7: "[colours"}, (7, "", "a heading is not closed", "")),
    "a move with one bracket": ({19: "[cycle]"}, (19, "", "every move begins with [[cycle]]", "[cycle]")),
    "the first move with one bracket": ({14: "[cycle]"}, (14, "", "every move begins with [[cycle]]", "[cycle]")),
    "two keys on a line": ({4: 'sure = "own" held = "x"'}, (4, "sure", "begin the next on a new line", "h")),
    "backslash": ({2: r'about = "a\c"'}, (2, "about", "a backslash in a text must be written twice", '"')),
    "stray sign": ({4: "* sure"}, (4, "", "a line holds a key, = and a value", "*")),
    "comment with strokes": ({4: "// sure"}, (4, "", "a comment begins with #", "/")),
    "control character in a comment": (
        {4: 'sure = "own" # \x07'},
        (4, "sure", "a comment holds a control character", "\x07"),
    ),
    "table in braces not closed": (
        {18: 'turned = { "left ring" = "inward"'},
        (18, "turned", "a table in braces is not closed", ""),
    ),
    "part of a key missing": ({4: 'sure. = "own"'}, (4, "", "a key is needed here", "=")),
}


@pytest.mark.parametrize(("changes", "expected"), CASES.values(), ids=CASES.keys())
def test_a_file_that_is_not_toml_is_reported_where_it_goes_wrong(problems, purse_string, changes, expected):
    (problem,) = problems(changes)
    line, key, words, marked = expected
    assert (problem.line, problem.key) == (line, key), problem
    assert words in problem.message
    if problem.mark is not None:
        assert problem.mark.line == line
        assert purse_string(changes).splitlines()[line - 1][problem.mark.start : problem.mark.end] == marked
    else:
        assert marked == ""


@pytest.mark.parametrize("end", ["\r\n", "\r"])
def test_line_ends_of_any_kind_will_do(purse_string, end):
    assert read_recipe(purse_string({}).replace("\n", end), "purse-string").title == "Purse string"


def test_lists_too_deep_to_read_are_a_mistake_like_any_other(problems):
    (problem,) = problems({6: "loops = " + "[" * 5000 + "]" * 5000})
    assert "too deep" in problem.message


def test_a_number_too_long_to_read_is_a_mistake_like_any_other(problems):
    (problem,) = problems({6: "loops = " + "9" * 5000})
    assert "too long" in problem.message
