"""The hands, drawn as fingers in their lateral order, with what each finger holds.

A loop is a fill at the tip of its finger with the colour's name on it. A bicolour loop is two fills, the
shank that is up above the other. Two loops on one finger stand one above the other with a plus between,
the left one on top. An empty finger is an empty outline. The fingers of the coming move carry a mark and
have their names reversed. Colour is never alone: the names are always there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rich.style import Style
from rich.text import Text

from companion.display.canvas import Canvas
from companion.display.colours import fill_style
from companion.display.labels import short_names
from companion.display.marks import Marks
from companion.display.wrapping import wrapped
from companion.practice.view import FingerView, HandsView, View
from companion.recipe.model import Colours
from companion.recipe.places import Finger, Place, Side

FINGERS = len(Finger)
NARROWEST, WIDEST = 5, 13
"""Columns of a finger."""
GAP = 2
"""Columns between the hands of a braider, at the least."""
BRAIDER_GAP = 3
MOST_FILL_ROWS = 6
DROP = {Finger.MIDDLE: 0, Finger.INDEX: 1, Finger.RING: 1, Finger.THUMB: 2, Finger.LITTLE: 2}
"""How many rows a fingertip lies lower than the middle finger's, where there is room for it."""


@dataclass(frozen=True)
class Plan:
    """How the hands of a number of braiders are laid out. Sizes in columns and rows; ``drop``: 0 to 2."""

    side_by_side: bool
    finger: int
    fill: int
    drop: int
    marked: bool
    braiders: int

    @property
    def name_rows(self) -> int:
        """Long names next to each other need two rows."""
        return 1 if self.finger > max(len(finger.value) for finger in Finger) else 2

    @property
    def braider_rows(self) -> int:
        """Rows of one braider's hands."""
        return self.marked + self.drop + self.fill + self.name_rows + 1

    @property
    def rows(self) -> int:
        """Rows of all hands."""
        return self.braider_rows * (1 if self.side_by_side else self.braiders)

    @property
    def hand_columns(self) -> int:
        """Columns of one hand: five fingers with a blank between them."""
        return FINGERS * (self.finger + 1) - 1

    @property
    def braider_columns(self) -> int:
        """Columns of both hands of a braider."""
        return 2 * self.hand_columns + GAP


def draw(view: View | HandsView, columns: int, rows: int, marks: Marks, colour_system: str | None) -> list[Text]:
    """The hands in at most so many rows, or as much of them as fits: first whoever the coming move touches."""
    names = _colour_names(view)
    plan = _plan(view, columns, rows, names)
    if plan is None:
        return _in_words(view, columns, rows, marks)
    shown = _shown_braiders(view, plan.braiders)
    labels = short_names(names, plan.finger)
    canvas = Canvas(columns, plan.rows)
    painter = _Painter(view, plan, canvas, marks, colour_system, labels)
    across = len(shown) if plan.side_by_side else 1
    left = max((columns - across * plan.braider_columns - (across - 1) * BRAIDER_GAP) // 2, 0)
    for number, braider in enumerate(shown):
        at = left + number * (plan.braider_columns + BRAIDER_GAP) if plan.side_by_side else left
        painter.braider(braider, at, 0 if plan.side_by_side else number * plan.braider_rows)
    lines = canvas.lines()
    return [*lines, *_key(labels, view, columns, colour_system)][:rows]


def least_rows(view: View | HandsView) -> int:
    """The rows that all braiders' hands need one above the other."""
    smallest = Plan(False, NARROWEST, max(_fill_rows(view), 2), 0, False, view.braiders)
    return smallest.rows


def _colour_names(view: View | HandsView) -> list[str]:
    """Every colour name on the fingers, once, from left to right."""
    shanks = (shank for finger in view.fingers for loop in finger.loops for shank in (loop.upper, loop.lower))
    return list(dict.fromkeys(shanks))


def _loop_rows(loop: Colours) -> int:
    return 1 if loop.solid else 2


def _fill_rows(view: View | HandsView) -> int:
    """Rows that the fullest finger needs."""
    return max(
        (
            sum(_loop_rows(loop) for loop in finger.loops) + len(finger.loops) - 1
            for finger in view.fingers
            if finger.loops
        ),
        default=1,
    )


def _plan(view: View | HandsView, columns: int, rows: int, names: Sequence[str]) -> Plan | None:
    """The roomiest layout: all braiders, full colour names, then marks and finger lengths, then large fills."""
    best: tuple[tuple[int, ...], Plan] | None = None
    for braiders in range(view.braiders, 0, -1):
        for side_by_side in (True, False) if braiders > 1 else (True,):
            finger = _finger_columns(columns, braiders if side_by_side else 1)
            if finger < NARROWEST:
                continue
            key = _key(short_names(names, finger), view, columns, None)
            whole, spare = not key, rows - len(key)
            for drop in (2, 1, 0):
                for marked in (True, False):
                    plan = _with_fill(
                        Plan(side_by_side, finger, max(_fill_rows(view), 2), drop, marked, braiders), spare
                    )
                    rank = (braiders, marked, whole, side_by_side, drop, plan.fill)
                    if plan.rows <= spare and (best is None or rank > best[0]):
                        best = rank, plan
        if best:
            return best[1]
    return None


def _finger_columns(columns: int, across: int) -> int:
    """Columns for a finger when so many braiders stand side by side; fewer than NARROWEST: no room."""
    for_one = (columns - (across - 1) * BRAIDER_GAP) // across
    return min((for_one - GAP - 2 * (FINGERS - 1)) // (2 * FINGERS), WIDEST)


def _with_fill(plan: Plan, rows: int) -> Plan:
    """The plan with the fills as high as the rows allow, in proportion to the fingers' width."""
    down = 1 if plan.side_by_side else plan.braiders
    fill = plan.fill + max((rows - plan.rows) // down, 0)
    limit = max(plan.fill, min(MOST_FILL_ROWS, plan.finger // 2))
    return Plan(plan.side_by_side, plan.finger, min(fill, limit), plan.drop, plan.marked, plan.braiders)


def _shown_braiders(view: View | HandsView, room: int) -> list[int]:
    """The braiders that are drawn, from left to right, where not all have room."""
    busy = [place.braider for place in view.active]
    order = sorted(range(1, view.braiders + 1), key=lambda braider: (braider not in busy, braider))
    return sorted(order[:room])


class _Painter:
    """Draws braiders on a canvas."""

    def __init__(
        self,
        view: View | HandsView,
        plan: Plan,
        canvas: Canvas,
        marks: Marks,
        colour_system: str | None,
        labels: dict[str, str],
    ) -> None:
        self.view, self.plan, self.canvas, self.marks = view, plan, canvas, marks
        self.labels = labels
        self.styles = {name: fill_style(fill, colour_system) for name, fill in view.fills}
        self.unknown_fill = fill_style(None, colour_system)

    def braider(self, braider: int, column: int, row: int) -> None:
        fingers = [finger for finger in self.view.fingers if finger.place.braider == braider]
        for number, side in enumerate(Side):
            hand = [finger for finger in fingers if finger.place.side is side]
            at = column + number * (self.plan.hand_columns + GAP)
            for offset, finger in enumerate(hand):
                self._finger(finger, at + offset * (self.plan.finger + 1), row)
            self._palm(hand[0].place, at, row + self.plan.braider_rows - 1)

    def _finger(self, finger: FingerView, column: int, row: int) -> None:
        plan, place = self.plan, finger.place
        active = place in self.view.active
        drop = min(DROP[place.finger], plan.drop)
        tip = row + plan.marked + drop
        base = row + plan.marked + plan.drop + plan.fill
        if active and plan.marked:
            self.canvas.centred(
                column, plan.finger, tip - 1, self.marks.active * min(plan.finger - 2, 5), Style(bold=True)
            )
        filled = self._loops(finger.loops, column, tip)
        for down in range(filled, base - tip):
            self._shaft(column, tip + down)
        name_row = base + (plan.name_rows == 2 and place.finger in (Finger.INDEX, Finger.RING))
        self.canvas.centred(column, plan.finger, name_row, place.finger.value, Style(bold=True, reverse=active))

    def _shaft(self, column: int, row: int) -> None:
        self.canvas.put(column, row, self.marks.shaft, Style(dim=True))
        self.canvas.put(column + self.plan.finger - 1, row, self.marks.shaft, Style(dim=True))

    def _loops(self, loops: Sequence[Colours], column: int, row: int) -> int:
        """Draw the loops from a row down; returns the rows taken."""
        if not loops:
            return 0
        room = self.plan.fill - (len(loops) - 1)
        at = row
        for number, loop in enumerate(loops):
            if number:
                self._shaft(column, at)
                self.canvas.centred(column, self.plan.finger, at, "+", Style(bold=True))
                at += 1
            rows = room // len(loops)
            for shank in [loop.upper] if loop.solid else [loop.upper, loop.lower]:
                shank_rows = rows // _loop_rows(loop)
                self._fill(shank, column, at, shank_rows)
                at += shank_rows
        return at - row

    def _fill(self, name: str, column: int, row: int, rows: int) -> None:
        style = self.styles.get(name, self.unknown_fill)
        for down in range(rows):
            self.canvas.put(column, row + down, " " * self.plan.finger, style)
        self.canvas.centred(column, self.plan.finger, row + (rows - 1) // 2, self.labels[name], style)

    def _palm(self, place: Place, column: int, row: int) -> None:
        own = f"{place.side.value} hand".upper()
        label = own if self.view.braiders == 1 else f"{self.view.names[place.braider - 1].upper()}: {own}"
        edge = self.marks.palm * (self.plan.hand_columns - 2)
        self.canvas.put(column, row, f"{self.marks.palm_left}{edge}{self.marks.palm_right}", Style(dim=True))
        self.canvas.centred(column, self.plan.hand_columns, row, f" {label} ", Style(bold=True))


def _key(labels: dict[str, str], view: View | HandsView, columns: int, colour_system: str | None) -> list[Text]:
    """What the shortened colour names stand for; nothing where none is shortened."""
    fills = dict(view.fills)
    lines: list[Text] = []
    for name, label in labels.items():
        if label == name:
            continue
        item = Text(" ").append(f" {label} ", fill_style(fills.get(name), colour_system)).append(f" {name} ")
        if not lines or lines[-1].cell_len + item.cell_len > columns:
            lines.append(Text(no_wrap=True))
        lines[-1].append_text(item)
    return lines


def _in_words(view: View | HandsView, columns: int, rows: int, marks: Marks) -> list[Text]:
    """For windows too small for a drawing: what each hand holds, from left to right."""
    lines: list[Text] = []
    for braider in _shown_braiders(view, view.braiders):
        for side in Side:
            hand = [finger for finger in view.fingers if (finger.place.braider, finger.place.side) == (braider, side)]
            words = f"{hand[0].place.side.value}: " + ", ".join(
                f"{marks.active if finger.place in view.active else ''}{finger.place.finger.value} "
                + (" + ".join(loop.name for loop in finger.loops) or "-")
                for finger in hand
                if finger.loops or finger.place in view.active
            )
            who = "" if view.braiders == 1 else f"{view.names[braider - 1]} "
            lines += [Text(line, no_wrap=True) for line in wrapped(who + words, columns)]
    return lines[:rows]
