"""Writing a recipe file: the text that companion.recipe.reading reads back as the same recipe.

Strings are TOML basic strings; JSON writes them alike, but for DEL (TOML 1.0.0, "String").
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence

from companion.recipe.model import Action, Colourway, Exchange, Move, Pass, Recipe, Shift, Take, Tighten, Turn, Turned
from companion.recipe.places import Place

WIDTH = 110
"""Columns within which a list stands on one line."""


def write_recipe(recipe: Recipe, head: str = "", notes: Mapping[int, str] | None = None) -> str:
    """The recipe as a file's text. ``head``: a comment at its beginning; ``notes``: comments before moves, by index."""
    parts = [
        comment(head) + "".join(_entry(key, value) for key, value in _top(recipe)),
        "[colours]\n" + "".join(_colour(recipe, name, fill) for name, fill in recipe.fills),
        *(_colourway(recipe, colourway) for colourway in recipe.colourways),
    ]
    for number, move in enumerate(recipe.cycle):
        parts.append(comment((notes or {}).get(number, "")) + write_move(move, recipe.braiders))
    return "\n".join(parts)


def write_move(move: Move, braiders: int = 1) -> str:
    """One entry of the cycle, with its [[cycle]] line and a line end; ``braiders``: of the recipe it belongs to."""
    entries = [*_action(move.action, braiders)]
    entries += [(key, text) for key, text in (("say", move.say), ("cue", move.cue)) if text]
    return "[[cycle]]\n" + "".join(_entry(key, value) for key, value in entries)


def comment(text: str) -> str:
    """A text as lines of comment; nothing where it is empty."""
    return "".join(f"# {line}".rstrip() + "\n" for line in text.splitlines())


def quoted(text: str) -> str:
    """A text as a TOML basic string."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _top(recipe: Recipe) -> Iterator[tuple[str, object]]:
    yield from (
        ("title", recipe.title),
        ("about", recipe.about),
        *((("note", recipe.note),) if recipe.note else ()),
        ("source", recipe.source),
        ("sure", recipe.sure.value),
    )
    yield "held", recipe.held.value
    if recipe.braiders > 1:
        yield "braiders", recipe.braiders
    yield "loops", _names(recipe.loops, recipe.braiders)


def _colour(recipe: Recipe, name: str, fill: str) -> str:
    thickness = dict(recipe.thicknesses).get(name)
    value = quoted(fill) if thickness is None else f"{{ fill = {quoted(fill)}, thickness = {thickness!r} }}"
    return f"{_key(name)} = {value}\n"


def _colourway(recipe: Recipe, colourway: Colourway) -> str:
    pairs = zip(recipe.loops, colourway.loops, strict=True)
    lines = (f"{quoted(place.name(recipe.braiders))} = {quoted(loop.name)}\n" for place, loop in pairs)
    return f"[colourways.{_key(colourway.name)}]\n" + "".join(lines)


def _action(action: Action, braiders: int) -> Iterator[tuple[str, object]]:
    """The keys of a kind of move with their values, in the order in which they are read."""
    match action:
        case Take():
            yield from (("take", action.take.name(braiders)), ("by", action.by.name(braiders)))
            yield from _passed(("through", action.through), ("over", action.over), ("under", action.under), n=braiders)
            yield from _turned(action.turned)
        case Pass():
            yield from (("pass", action.loop.name(braiders)), ("to", action.to.name(braiders)))
            yield from _passed(("over", action.over), ("under", action.under), n=braiders)
            yield from _turned(action.turned)
        case Exchange():
            yield from _exchange(action, braiders)
        case Turn():
            yield from (("turn", action.turn.name(braiders)), ("way", action.way.value))
        case Shift():
            yield "shift", [f"{start.name(braiders)} to {to.name(braiders)}" for start, to in action.steps]
        case Tighten():
            yield "tighten", True


def _passed(*passed: tuple[str, tuple[Place, ...]], n: int) -> Iterator[tuple[str, object]]:
    for key, places in passed:
        if places:
            yield key, _names(places, n)


def _turned(turned: Turned) -> Iterator[tuple[str, object]]:
    if turned is not Turned.UNTURNED:
        yield "turned", turned.value


def _exchange(action: Exchange, braiders: int) -> Iterator[tuple[str, object]]:
    if action.other_turns_first:
        raise ValueError("an exchange whose outer loop turns first can't stand in a recipe")
    yield "exchange", _names((action.mover, action.other), braiders)
    yield action.passing.value, action.mover.name(braiders)
    if action.mover_turned is action.other_turned:
        yield from _turned(action.mover_turned)
    else:
        pairs = ((action.mover, action.mover_turned), (action.other, action.other_turned))
        yield "turned", {place.name(braiders): way.value for place, way in pairs if way is not Turned.UNTURNED}


def _names(places: Sequence[Place], braiders: int) -> list[str]:
    return [place.name(braiders) for place in places]


def _key(name: str) -> str:
    """A key bare where TOML allows it (letters of ASCII, digits, _ and -), else quoted."""
    bare = name.isascii() and name.replace("_", "").replace("-", "").isalnum()
    return name if bare else quoted(name)


def _entry(key: str, value: object) -> str:
    line = f"{key} = {_value(value)}"
    if isinstance(value, list) and len(line) > WIDTH:
        line = f"{key} = [\n" + "".join(f"    {quoted(text)},\n" for text in value) + "]"
    return line + "\n"


def _value(value: object) -> str:
    match value:
        case str():
            return quoted(value)
        case list():
            return f"[{', '.join(map(_value, value))}]"
        case dict():
            return f"{{ {', '.join(f'{quoted(key)} = {_value(part)}' for key, part in value.items())} }}"
        case bool():
            return str(value).lower()
    return str(value)
