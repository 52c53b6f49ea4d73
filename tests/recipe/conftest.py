"""One good recipe, purse-string.toml beside this file, from which tests of the reader make bad ones."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from companion.loops.rehearse import read_recipe
from companion.recipe.problems import Problem, RecipeError

PURSE_STRING = Path(__file__).with_name("purse-string.toml")


@pytest.fixture
def purse_string() -> Callable[[Mapping[int, str]], str]:
    """The good recipe with some of its lines, by number, replaced; a replacement may be several lines."""
    lines = PURSE_STRING.read_text(encoding="utf-8").splitlines()

    def text(changes: Mapping[int, str]) -> str:
        return "\n".join(changes.get(number, line) for number, line in enumerate(lines, start=1))

    return text


@pytest.fixture
def problems(purse_string: Callable[[Mapping[int, str]], str]) -> Callable[[Mapping[int, str]], tuple[Problem, ...]]:
    """The problems of the good recipe with some of its lines replaced."""

    def found(changes: Mapping[int, str]) -> tuple[Problem, ...]:
        with pytest.raises(RecipeError) as caught:
            read_recipe(purse_string(changes), "purse-string")
        return caught.value.problems

    return found
