"""A file that is not TOML is reported at the place where it goes wrong, in words an author can use."""

from __future__ import annotations

import pytest

CASES: dict[str, tuple[dict[int, str], tuple[int, str, str]]] = {
    "text not closed": ({1: 'title = "Purse string'}, (1, "title", "a text ends on its own line")),
    "text of many lines not closed": ({28: 'say = """beat'}, (28, "say", "not closed before the end of the file")),
    "list not closed": ({6: 'loops = ["left ring"'}, (7, "", "put commas between its entries and ] at its end")),
    "comma missing": ({6: 'loops = ["left ring" "left middle"]'}, (6, "loops", "put commas between its entries")),
    "value missing": ({4: "sure ="}, (4, "sure", "a value is needed here")),
    "text without quotation marks": ({4: "sure = own"}, (4, "sure", "a text in quotation marks")),
    "equals sign missing": ({4: "sure"}, (4, "", "after a key comes =")),
    "spaced key": ({11: 'left middle = "light"'}, (11, "", "after a key comes =")),
    "key given twice": ({2: 'title = "Cord"'}, (2, "title", "this key is given twice in one place")),
    "heading given twice": ({9: "[colours]"}, (9, "", "is given twice")),
    "heading not closed": ({7: "[colours"}, (7, "", "a heading is not closed")),
    "two keys on a line": ({4: 'sure = "own" held = "x"'}, (4, "sure", "begin the next on a new line")),
    "backslash": ({2: r'about = "a\c"'}, (2, "about", "a backslash in a text must be written twice")),
    "stray sign": ({4: "* sure"}, (4, "", "a line holds a key, = and a value")),
    "control character in a comment": ({4: 'sure = "own" # \x07'}, (4, "sure", "a comment holds a control character")),
    "table in braces not closed": (
        {18: 'turned = { "left ring" = "inward"'},
        (18, "turned", "a table in braces is not closed"),
    ),
    "part of a key missing": ({4: 'sure. = "own"'}, (4, "", "a key is needed here")),
}


@pytest.mark.parametrize(("changes", "expected"), CASES.values(), ids=CASES.keys())
def test_a_file_that_is_not_toml_is_reported_where_it_goes_wrong(problems, changes, expected):
    (problem,) = problems(changes)
    line, key, words = expected
    assert (problem.line, problem.key) == (line, key), problem
    assert words in problem.message


def test_lists_too_deep_to_read_are_a_mistake_like_any_other(problems):
    (problem,) = problems({6: "loops = " + "[" * 5000 + "]" * 5000})
    assert "too deep" in problem.message


def test_a_number_too_long_to_read_is_a_mistake_like_any_other(problems):
    (problem,) = problems({6: "loops = " + "9" * 5000})
    assert "too long" in problem.message
