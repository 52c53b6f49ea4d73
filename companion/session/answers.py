"""How the questions about cords are answered: in words or in JSON, with an exit status."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable

from rich.console import Console, RenderableType

from companion.library import LibraryError
from companion.recipe.problems import RecipeError
from companion.session.setting import FileFault
from companion.session.usage import DONE, FAULT, USAGE, sentence
from companion.structure.report import Json


def guarded(answer: Callable[[], None]) -> int:
    """Answer; the exit status. A fault of a recipe and a question that makes no sense get one sentence."""
    try:
        answer()
    except FileFault as fault:
        print(fault, file=sys.stderr)
        return FAULT
    except (RecipeError, LibraryError) as error:
        print(sentence(error), file=sys.stderr)
        return FAULT
    except ValueError as error:
        print(error, file=sys.stderr)
        return USAGE
    return DONE


def give(as_json: bool, answer: Json | list[Json], lines: Iterable[RenderableType]) -> None:
    """Print an answer: the JSON, or else the lines."""
    if as_json:
        print(json.dumps(answer, ensure_ascii=False, indent=2))
        return
    console = Console(soft_wrap=False, highlight=False)
    for line in lines:
        console.print(line)
