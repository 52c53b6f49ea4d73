"""Reading one entry of a recipe's cycle: exactly one kind of move, and the keys that belong to it."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from companion.recipe.fields import Notes, Table, as_table, one_line, shown
from companion.recipe.finger_meant import finger_meant
from companion.recipe.model import Action, Exchange, Move, Pass, Passing, Shift, Take, Tighten, Turn, Turned
from companion.recipe.places import Place, place_names
from companion.recipe.positions import Path
from companion.recipe.problems import did_you_mean, listed, quoted

LONGEST_SAY = 80
"""Characters of an author's own wording: about the longest that is spoken in one breath."""
LONGEST_CUE = 30
"""Characters of a cue: a word or two."""

KEYS = {
    "take": ("by", "through", "over", "under", "turned"),
    "pass": ("to", "over", "under", "turned"),
    "exchange": ("inside", "over", "under", "turned"),
    "turn": ("way",),
    "shift": (),
    "tighten": (),
}
"""The kinds of move, each by the key that names it, with the keys that may stand beside that one and WORDINGS."""
WORDINGS = {"say": LONGEST_SAY, "cue": LONGEST_CUE}
"""The keys that may stand beside any move: words for it, each with the most characters that it may have."""

_WAYS = {way.value: way for way in Turned}
_HALF_TURNS = {way.value: way for way in Turned if way is not Turned.UNTURNED}


@dataclass(frozen=True)
class Fingers:
    """The names of the fingers that a recipe may use."""

    names: Mapping[str, Place]
    advice: str

    def name(self, place: Place) -> str:
        """The name of a place in this recipe."""
        return next(name for name, named in self.names.items() if named == place)

    def one(self, notes: Notes, path: Path, value: object, of_key: bool = False) -> Place | None:
        """The place that a value names, or (``of_key``) that a key does."""
        if isinstance(value, str) and value in self.names:
            return self.names[value]
        if not isinstance(value, str):
            notes.add(path, f"a finger's name in quotation marks is needed, not {shown(value)}; {self.advice}", of_key)
        else:
            what_to_do = finger_meant(value, self.names) or f"; {self.advice}"
            notes.add(path, f"no finger is called {quoted(value)}{what_to_do}", of_key)
        return None

    def of(self, table: Table, key: str) -> Place | None:
        """The place that a required key names."""
        if key not in table.values:
            table.missing(key, f"name a finger; {self.advice}")
            return None
        return self.one(table.notes, (*table.path, key), table.values[key])

    def all_of(self, table: Table, key: str, required: bool = False) -> tuple[Place, ...] | None:
        """The places that a key lists, in the order of the list; none where it may be left out and is."""
        if key not in table.values and not required:
            return ()
        entries = table.list(key, f"list fingers, each in quotation marks; {self.advice}")
        if entries is None:
            return None
        places = [self.one(table.notes, (*table.path, key, number), entry) for number, entry in enumerate(entries)]
        found = tuple(place for place in places if place is not None)
        return found if len(found) == len(places) else None


def fingers(braiders: int | None) -> Fingers:
    """The fingers of so many braiders; None where their number could not be read: then any name will do."""
    one_hand = "left or right, then thumb, index, middle, ring or little"
    if braiders is None:
        return Fingers({**place_names(1), **place_names(3)}, f"a finger is {one_hand}")
    if braiders == 1:
        return Fingers(place_names(1), f"a finger is {one_hand}")
    numbers = listed(("one", "two", "three")[:braiders])
    return Fingers(place_names(braiders), f"a finger is {numbers} for the braider, then {one_hand}")


def read_move(entry: Table, hands: Fingers) -> Move | None:
    """One entry of the cycle; None, with its mistakes noted, where it can't be read."""
    before = len(entry.notes.problems)
    kind = _kind(entry)
    words = {key: _words(entry, key) for key in WORDINGS}
    if kind is None:
        return None
    entry.refuse_others((kind, *KEYS[kind], *WORDINGS), f"the move {kind}")
    action = _READERS[kind](entry, hands)
    if action is None or len(entry.notes.problems) > before:
        return None
    return Move(action, **words, line=entry.notes.positions.line(entry.path))


def _words(entry: Table, key: str) -> str:
    """Words for a move that stand beside it, or none."""
    if key not in entry.values:
        return ""
    path = (*entry.path, key)
    return one_line(entry.notes, path, entry.values[key], WORDINGS[key], "write it or leave the key out") or ""


def _kind(entry: Table) -> str | None:
    kinds = [key for key in entry.values if key in KEYS]
    if len(kinds) == 1:
        return kinds[0]
    if kinds:
        message = (
            f"one move can't be {listed(kinds, 'and')} at once; put [[cycle]] on a line of its own before the second"
        )
        entry.notes.add((*entry.path, kinds[1]), message, of_key=True)
        return None
    known = {key for keys in KEYS.values() for key in keys} | set(WORDINGS)
    meant = [(key, did_you_mean(key, KEYS)) for key in entry.values if key not in known]
    hint = next((f"; {quoted(key)} is no move{close}" for key, close in meant if close), "")
    entry.notes.add(entry.path, f"the kind of move is missing; give one of {', '.join(KEYS)}{hint}")
    return None


def _way(entry: Table, key: str = "turned") -> Turned | None:
    return entry.choice(key, _WAYS) if key in entry.values else Turned.UNTURNED


def _take(entry: Table, hands: Fingers) -> Action | None:
    take, by = hands.of(entry, "take"), hands.of(entry, "by")
    through, over, under = (hands.all_of(entry, key) for key in ("through", "over", "under"))
    turned = _way(entry)
    if take is None or by is None or through is None or over is None or under is None or turned is None:
        return None
    return Take(take, by, through, over, under, turned)


def _pass(entry: Table, hands: Fingers) -> Action | None:
    loop, to = hands.of(entry, "pass"), hands.of(entry, "to")
    over, under = hands.all_of(entry, "over"), hands.all_of(entry, "under")
    turned = _way(entry)
    if loop is None or to is None or over is None or under is None or turned is None:
        return None
    return Pass(loop, to, over, under, turned)


def _exchange(entry: Table, hands: Fingers) -> Action | None:
    pair = hands.all_of(entry, "exchange", required=True)
    if pair is not None and (len(pair) != 2 or pair[0] == pair[1]):
        entry.problem(
            "exchange", f"two different fingers are needed, not {len(pair)}" if len(pair) != 2 else _ONE_TWICE
        )
        pair = None
    found = _mover(entry, hands, pair)
    turned = _turned_of_each(entry, hands, pair)
    if pair is None or found is None or turned is None:
        return None
    passing, mover = found
    other = pair[1] if mover == pair[0] else pair[0]
    return Exchange(mover, other, passing, turned.get(mover, Turned.UNTURNED), turned.get(other, Turned.UNTURNED))


_ONE_TWICE = "the same finger is named twice; name two different fingers"


def _mover(entry: Table, hands: Fingers, pair: tuple[Place, ...] | None) -> tuple[Passing, Place] | None:
    """How the loops pass, and the finger whose loop is the one that passes."""
    given = [passing for passing in Passing if passing.value in entry.values]
    if len(given) != 1:
        came = listed([passing.value for passing in given], "and") if given else "none"
        key = given[1].value if given else "exchange"
        entry.problem(
            key, f"exactly one of inside, over and under is needed, not {came}; it names the loop that passes"
        )
        return None
    key = given[0].value
    mover = hands.of(entry, key)
    if mover is not None and pair is not None and mover not in pair:
        entry.problem(key, f"{shown(entry.values[key])} is not one of the two fingers that exchange their loops")
        return None
    return None if mover is None else (given[0], mover)


def _turned_of_each(entry: Table, hands: Fingers, pair: tuple[Place, ...] | None) -> dict[Place, Turned] | None:
    """The turn of each loop of an exchange: one word for both, or a table with a word for each finger."""
    value = entry.values.get("turned")
    if not isinstance(value, dict):
        way = _way(entry)
        return None if way is None else dict.fromkeys(pair or (), way)
    table = as_table(entry.notes, (*entry.path, "turned"), value, "")
    turned: dict[Place, Turned] = {}
    sound = True
    for name in value:
        place = hands.one(entry.notes, (*entry.path, "turned", name), name, of_key=True)
        way = table.choice(name, _WAYS) if table else None
        if place is not None and pair is not None and place not in pair:
            entry.notes.add((*entry.path, "turned", name), f"{quoted(name)} is not one of the two fingers", of_key=True)
            sound = False
        if place is None or way is None:
            sound = False
        else:
            turned[place] = way
    return turned if sound else None


def _turn(entry: Table, hands: Fingers) -> Action | None:
    place = hands.of(entry, "turn")
    way = entry.choice("way", _HALF_TURNS)
    return None if place is None or way is None else Turn(place, way)


def _shift(entry: Table, hands: Fingers) -> Action | None:
    example = 'write each step as "left ring to left little"'
    entries = entry.list("shift", example)
    if entries == []:
        entry.problem("shift", f"a shift needs at least one step; {example}")
    steps = []
    for number, text in enumerate(entries or []):
        path = (*entry.path, "shift", number)
        if not isinstance(text, str) or text.count(" to ") != 1:
            meant = _step_meant(text, hands) if isinstance(text, str) else ""
            entry.notes.add(path, f"{shown(text)} is no step of a shift{meant or f'; {example}'}")
            continue
        start, to = (hands.one(entry.notes, path, name.strip()) for name in text.split(" to "))
        if start is not None and to is not None:
            steps.append((start, to))
    return Shift(tuple(steps)) if entries and len(steps) == len(entries) else None


def _step_meant(text: str, hands: Fingers) -> str:
    """`` (did you mean "left ring to left little"?)`` where two fingers stand with something else between them."""
    names = "|".join(hands.names)
    found = re.fullmatch(rf"\s*({names})\W+({names})\s*", text)
    return f" (did you mean {quoted(f'{found[1]} to {found[2]}')}?)" if found else ""


def _tighten(entry: Table, hands: Fingers) -> Action | None:
    if entry.values["tighten"] is not True:
        entry.problem("tighten", f"only true is allowed, not {shown(entry.values['tighten'])}; else leave the move out")
        return None
    return Tighten()


_READERS: dict[str, Callable[[Table, Fingers], Action | None]] = {
    "take": _take,
    "pass": _pass,
    "exchange": _exchange,
    "turn": _turn,
    "shift": _shift,
    "tighten": _tighten,
}
