"""The line of every key and list entry of a recipe file, whatever way the author writes it."""

from __future__ import annotations

import tomllib

from hypothesis import given
from hypothesis import strategies as st

from companion.recipe.positions import positions

TEXT = """\
title = "x"  # a remark
[colours]

light = "#efdfb8"
[colourways . "quick one"]
"left ring" = "light"
'left thumb' = "light"
[[cycle]]
shift = [
  # a remark
  "left ring to left little",
  "left middle to left ring",
]
[[cycle]]
say = \"\"\"
two
lines\"\"\"
turned = { "left ring" = "inward" }
[cycle.extra]
key = 1
[[cycle]]
"""


def test_keys_headings_and_entries_stand_where_they_are_written():
    where = positions(TEXT)
    assert tomllib.loads(TEXT)
    for path, line in {
        ("title",): 1,
        ("colours",): 2,
        ("colours", "light"): 4,
        ("colourways", "quick one"): 5,
        ("colourways", "quick one", "left ring"): 6,
        ("colourways", "quick one", "left thumb"): 7,
        ("cycle", 0): 8,
        ("cycle", 0, "shift"): 9,
        ("cycle", 0, "shift", 0): 11,
        ("cycle", 0, "shift", 1): 12,
        ("cycle", 1): 14,
        ("cycle", 1, "say"): 15,
        ("cycle", 1, "turned"): 18,
        ("cycle", 1, "turned", "left ring"): 18,
        ("cycle", 1, "extra", "key"): 20,
        ("cycle", 2): 21,
    }.items():
        assert where.line(path) == line, path


def test_what_is_not_there_is_reported_at_what_is_around_it():
    where = positions(TEXT)
    assert where.line(("cycle", 0, "take")) == 8
    assert where.line(("cycle", 0, "shift", 7)) == 9
    assert where.line(("source",)) == 1


def test_letters_outside_ascii_do_not_move_lines():
    assert positions('title = "Schnürsenkel 組紐 🧶"\n"größe" = 1').line(("größe",)) == 2


@given(st.lists(st.text(min_size=1), min_size=1, unique=True))
def test_any_quoted_keys_are_found_on_their_lines(keys):
    quoted = ['"' + "".join(f"\\U{ord(c):08x}" for c in key) + '" = 1' for key in keys]
    where = positions("\n".join(quoted))
    assert [where.line((key,)) for key in keys] == list(range(1, len(keys) + 1))
