"""Large letters: capitals, digits, stops and the signs of the ear on a grid five pixels high, three to five wide.

Drawn for this project so that each sign can be told from every other at a distance. ``#`` is ink.
"""

from __future__ import annotations

HEIGHT = 5

_ROWS = """
A|.##.|#..#|####|#..#|#..#
B|###.|#..#|###.|#..#|###.
C|.###|#...|#...|#...|.###
D|###.|#..#|#..#|#..#|###.
E|####|#...|###.|#...|####
F|####|#...|###.|#...|#...
G|.###|#...|#.##|#..#|.###
H|#..#|#..#|####|#..#|#..#
I|###|.#.|.#.|.#.|###
J|..##|...#|...#|#..#|.##.
K|#..#|#.#.|##..|#.#.|#..#
L|#...|#...|#...|#...|####
M|#...#|##.##|#.#.#|#...#|#...#
N|#...#|##..#|#.#.#|#..##|#...#
O|.##.|#..#|#..#|#..#|.##.
P|###.|#..#|###.|#...|#...
Q|.##.|#..#|#..#|#.#.|.#.#
R|###.|#..#|###.|#.#.|#..#
S|.###|#...|.##.|...#|###.
T|#####|..#..|..#..|..#..|..#..
U|#..#|#..#|#..#|#..#|.##.
V|#...#|#...#|.#.#.|.#.#.|..#..
W|#...#|#...#|#.#.#|##.##|#...#
X|#...#|.#.#.|..#..|.#.#.|#...#
Y|#...#|.#.#.|..#..|..#..|..#..
Z|####|...#|.##.|#...|####
0|###|#.#|#.#|#.#|###
1|.#.|##.|.#.|.#.|###
2|###.|...#|.##.|#...|####
3|###.|...#|.##.|...#|###.
4|#..#|#..#|####|...#|...#
5|####|#...|###.|...#|###.
6|.##.|#...|###.|#..#|.##.
7|####|...#|..#.|.#..|.#..
8|.##.|#..#|.##.|#..#|.##.
9|.##.|#..#|.###|...#|.##.
.|..|..|..|..|#.
,|..|..|..|.#|#.
:|.|#|.|#|.
;|..|.#|..|.#|#.
'|#|#|.|.|.
-|...|...|###|...|...
/|...#|...#|..#.|.#..|#...
?|###.|...#|.##.|....|.#..
!|#|#|#|.|#
+|...|.#.|###|.#.|...
●|.###.|#####|#####|#####|.###.
○|.###.|#...#|#...#|#...#|.###.
◌|#.#.#|.....|#...#|.....|#.#.#
✗|##.##|.###.|..#..|.###.|##.##
"""

GLYPHS: dict[str, tuple[str, ...]] = {line[0]: tuple(line[2:].split("|")) for line in _ROWS.split("\n") if line}
GLYPHS[" "] = ("..",) * HEIGHT


def has_glyphs(text: str) -> bool:
    """Whether every sign of the text can be drawn large (small letters are drawn as capitals)."""
    return all(sign in GLYPHS for sign in text.upper())


def pixels(text: str) -> tuple[str, ...]:
    """The text as ``HEIGHT`` rows of ``#`` and ``.``, one empty column between signs. KeyError: see has_glyphs."""
    signs = [GLYPHS[sign] for sign in text.upper()]
    return tuple(".".join(sign[row] for sign in signs) for row in range(HEIGHT))


def width(text: str) -> int:
    """The width of the text in pixels."""
    return len(pixels(text)[0])
