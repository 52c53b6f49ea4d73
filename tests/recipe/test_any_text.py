"""Whatever text is handed to the reader, it answers with a recipe or with RecipeError, never anything else."""

from __future__ import annotations

import contextlib
import re
from pathlib import Path

from hypothesis import example, given
from hypothesis import strategies as st

from companion.loops.rehearse import problems, read_recipe
from companion.recipe.problems import RecipeError, lines_of

PURSE_STRING = Path(__file__).with_name("purse-string.toml").read_text(encoding="utf-8")
TOKENS = re.findall(r'"[^"]*"|\w+|\s|[^\w\s]', PURSE_STRING)
OTHER_TOKENS = [
    "nose",
    '"left thumb"',
    "[",
    "]",
    "{",
    "}",
    "=",
    ",",
    "\n",
    "1",
    "-1e400",
    "nan",
    "true",
    '"""',
    "''",
    ".",
]

surrogates = st.characters(categories=["Cs"])
any_text = st.text(st.one_of(st.characters(), surrogates))
toml_like_text = st.lists(st.sampled_from(TOKENS + OTHER_TOKENS), max_size=60).map("".join)


def read_or_refuse(text: str) -> None:
    """Read a text; an error must hold problems, each on a line that the text has, and be fit to print."""
    try:
        recipe = read_recipe(text, "any")
    except RecipeError as error:
        assert error.problems
        lines = lines_of(text)
        assert all(1 <= problem.line <= len(lines) for problem in error.problems)
        for mark in (problem.mark for problem in error.problems if problem.mark is not None):
            assert 1 <= mark.line <= len(lines)
            assert 0 <= mark.start < mark.end <= len(lines[mark.line - 1]) + 1
        assert list(error.problems) == sorted(error.problems)
        assert all(line.isprintable() for line in str(error).split("\n"))
        str(error).encode("utf-8")
    else:
        assert problems(recipe) == ()


@given(any_text)
@example("\x00")
@example("\ufeff")
@example("a = '\ud800'")
@example('"\\u0000" = 1')
@example("cycle = [[]]")
@example("[[cycle]]\n[cycle.take]\n[[cycle.take.x]]")
@example("[colours.light]")
@example("[[colourways]]")
def test_any_text(text):
    read_or_refuse(text)


@given(st.binary())
def test_any_bytes_read_as_text(content):
    read_or_refuse(content.decode("utf-8", "replace"))
    read_or_refuse(content.decode("latin-1"))


@given(toml_like_text)
def test_any_row_of_a_recipes_words(text):
    read_or_refuse(text)


@given(st.data())
def test_a_good_recipe_with_some_words_replaced(data):
    tokens = list(TOKENS)
    for place in data.draw(st.lists(st.integers(0, len(tokens) - 1), min_size=1, max_size=4)):
        tokens[place] = data.draw(st.sampled_from(TOKENS + OTHER_TOKENS))
    read_or_refuse("".join(tokens))


@given(st.data())
def test_a_good_recipe_with_some_lines_in_another_order_lost_or_twice(data):
    lines = PURSE_STRING.splitlines()
    read_or_refuse("\n".join(data.draw(st.lists(st.sampled_from(lines), max_size=40))))


@given(
    st.recursive(
        st.one_of(st.booleans(), st.integers(), st.floats(), st.text(max_size=5), st.just("left ring")),
        lambda inner: st.lists(inner, max_size=3),
        max_leaves=6,
    ),
    st.sampled_from([1, 4, 5, 6, 8, 12, 15, 16, 17, 18, 24, 28]),
)
def test_a_value_of_any_type_in_any_place(value, line):
    lines = PURSE_STRING.splitlines()
    key = lines[line - 1].partition("=")[0]
    lines[line - 1] = f"{key}= {as_toml(value)}"
    read_or_refuse("\n".join(lines))


def as_toml(value: object) -> str:
    """The value as TOML writes it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return '"' + "".join(f"\\U{ord(c):08x}" for c in value) + '"'
    if isinstance(value, list):
        return f"[{', '.join(as_toml(part) for part in value)}]"
    return repr(value)


def test_reading_one_bad_text_does_not_change_how_the_next_is_read():
    before = read_recipe(PURSE_STRING, "x")
    with contextlib.suppress(RecipeError):
        read_recipe(PURSE_STRING.replace("left", "nose"), "x")
    assert read_recipe(PURSE_STRING, "x") == before
