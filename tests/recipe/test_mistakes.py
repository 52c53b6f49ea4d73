"""Every mistake of writing in a recipe file is reported: the line, the key, what came and what is allowed.

Each case replaces some lines of purse-string.toml, by number, and says which problems are reported, in order.
"""

from __future__ import annotations

import pytest

from companion.loops.rehearse import read_recipe
from companion.recipe.problems import RecipeError

# Lines of purse-string.toml to which a case adds another one.
TITLE, ABOUT, HELD, LOOPS, DARK, RIGHT_RING = (
    'title = "Purse string"',
    'about = "A thin string for the purses of the second act."',
    'held = "little fingers in the middle"',
    'loops = ["left middle", "left ring", "right ring"]',
    'dark = "#7a2e3a"',
    '"right ring" = "dark"',
)
EXCHANGE = {15: 'exchange = ["left ring", "right ring"]', 16: 'inside = "left ring"', 17: ""}

CASES: dict[str, tuple[dict[int, str], list[tuple[int, str, str]]]] = {
    # What a recipe says at its top.
    "unknown key": (
        {1: 'titel = "x"'},
        [(1, "titel", 'no key "titel" (did you mean "title"?)'), (1, "title", "this key is missing")],
    ),
    "unknown key like no other": ({1: TITLE + "\nx9 = 1"}, [(2, "x9", 'no key "x9"; allowed: title, about')]),
    "missing title": ({1: ""}, [(1, "title", "this key is missing; write the cord's name")]),
    "empty title": ({1: 'title = " "'}, [(1, "title", "the text is empty; write something")]),
    "title that is no text": ({1: "title = 5"}, [(1, "title", "not the number 5")]),
    "title with a line break": ({1: 'title = "a\\nb"'}, [(1, "title", "take out the line break")]),
    "title with a control character": ({1: 'title = "a\\u001bb"'}, [(1, "title", 'the control character "\\x1b"')]),
    "title too long": ({1: f'title = "{"x" * 61}"'}, [(1, "title", "61 characters; at most 60")]),
    "about that is a list": ({2: "about = []"}, [(2, "about", "not a list")]),
    "empty note": ({2: ABOUT + '\nnote = ""'}, [(3, "note", "the text is empty; write something")]),
    "note that is no text": ({2: ABOUT + "\nnote = true"}, [(3, "note", "a text in quotation marks is needed")]),
    "note of two lines": ({2: ABOUT + '\nnote = "a\\nb"'}, [(3, "note", "take out the line break")]),
    "note too long": ({2: ABOUT + f'\nnote = "{"x" * 301}"'}, [(3, "note", "301 characters; at most 300")]),
    "missing source": ({3: ""}, [(1, "source", "this key is missing; write where the recipe comes from")]),
    "unknown sureness": (
        {4: 'sure = "from memry"'},
        [(4, "sure", '"from memry" is not allowed here (did you mean "from memory"?)')],
    ),
    "sureness that is a date": (
        {4: "sure = 2020-01-01"},
        [(4, "sure", "a date or time is not allowed here; give one of")],
    ),
    "missing hold": ({5: ""}, [(1, "held", '"little fingers in the middle" or "index fingers in the middle"')]),
    "unknown hold": ({5: 'held = "thumbs up"'}, [(5, "held", '"thumbs up" is not allowed here; give one of')]),
    "too many braiders": (
        {5: HELD + "\nbraiders = 4"},
        [(6, "braiders", "from 1 to 3 is needed, not the number 4")],
    ),
    "half a braider": ({5: HELD + "\nbraiders = 1.5"}, [(6, "braiders", "not the number 1.5")]),
    "braiders true": ({5: HELD + "\nbraiders = true"}, [(6, "braiders", "not true")]),
    # How thick a colour's yarn is.
    "colour as a table without a fill": (
        {9: "dark = { thickness = 2 }"},
        [(9, "colours.dark.fill", "this key is missing; give its screen colour")],
    ),
    "fill of a table that is no colour": (
        {9: 'dark = { fill = "red", thickness = 2 }'},
        [(9, "colours.dark.fill", 'a screen colour is needed, # and six digits as in "#efdfb8", not "red"')],
    ),
    "thickness of nothing": (
        {9: 'dark = { fill = "#7a2e3a", thickness = 0 }'},
        [(9, "colours.dark.thickness", "a number from 0.2 to 5 is needed")],
    ),
    "thickness that is a text": (
        {9: 'dark = { fill = "#7a2e3a", thickness = "thick" }'},
        [(9, "colours.dark.thickness", 'not "thick"')],
    ),
    "thickness that is no number": (
        {9: 'dark = { fill = "#7a2e3a", thickness = nan }'},
        [(9, "colours.dark.thickness", "from 0.2 to 5 is needed")],
    ),
    "misspelt thickness": (
        {9: 'dark = { fill = "#7a2e3a", thicknes = 2 }'},
        [(9, "colours.dark.thicknes", '(did you mean "thickness"?)')],
    ),
    # Which fingers are loaded.
    "missing loops": ({6: ""}, [(1, "loops", "this key is missing; list fingers")]),
    "loops as a text": ({6: 'loops = "left ring"'}, [(6, "loops", "a list in square brackets is needed")]),
    "unknown finger": (
        {6: 'loops = ["left midle", "left ring", "right ring"]'},
        [
            (
                6,
                "loops",
                'no finger is called "left midle" (did you mean "left middle"?)',
            )
        ],
    ),
    "finger in capitals": (
        {6: 'loops = ["Left Middle", "left ring", "right ring"]'},
        [(6, "loops", 'did you mean "left middle"?')],
    ),
    "finger that is a number": ({6: 'loops = [3, "left ring"]'}, [(6, "loops", "not the number 3")]),
    "unknown fingers, each on its line": (
        {6: 'loops = [\n"left toe",\n# a remark\n"nose"]'},
        [(7, "loops", '"left toe"'), (9, "loops", '"nose"')],
    ),
    "finger loaded twice": (
        {6: 'loops = ["left middle", "left ring", "right ring", "left ring"]'},
        [(6, "loops", "left ring is listed twice")],
    ),
    "one loop": ({6: 'loops = ["left ring"]'}, [(6, "loops", "two fingers at least")]),
    "no loop": ({6: "loops = []"}, [(6, "loops", "two fingers at least")]),
    "one finger twice": (
        {6: 'loops = ["left ring", "left ring"]'},
        [(6, "loops", "two fingers at least"), (6, "loops", "left ring is listed twice")],
    ),
    "a braider named where there is one": (
        {11: '"one left middle" = "light"'},
        [
            (10, "colourways.plain", "no colour is given for left middle; every loop needs one"),
            (11, "colourways.plain.one left middle", 'did you mean "left middle"?'),
        ],
    ),
    # Colours and colourways.
    "missing colours": (
        {7: "", 8: "", 9: ""},
        [(1, "colours", "this key is missing; name every colour under [colours]")],
    ),
    "no colour at all": (
        {8: "", 9: "", 11: "", 12: "", 13: ""},
        [(7, "colours", "no colour is named"), (10, "colourways.plain", "for left middle, left ring and right ring")],
    ),
    "colours that are no table": (
        {6: LOOPS + "\ncolours = 1", 7: "", 8: "", 9: ""},
        [(7, "colours", "a table is needed")],
    ),
    "fill in words": ({8: 'light = "cream"'}, [(8, "colours.light", '# and six digits as in "#efdfb8", not "cream"')]),
    "short fill": ({8: 'light = "#fff"'}, [(8, "colours.light", 'not "#fff"')]),
    "fill that is no text": ({8: "light = true"}, [(8, "colours.light", "not true")]),
    "colour's name with over": (
        {9: DARK + '\n"red over blue" = "#000000"'},
        [(10, "colours.red over blue", 'may not contain the word "over"')],
    ),
    "colour without a name": ({9: DARK + '\n"" = "#000000"'}, [(10, 'colours.""', "may not be empty")]),
    "colour's name with a tab": ({9: DARK + '\n"a\\tb" = "#000000"'}, [(10, "colours.a\\tb", "take out the tab")]),
    "colour's name too long": ({9: DARK + f'\n{"a" * 25} = "#000000"'}, [(10, f"colours.{'a' * 25}", "at most 24")]),
    "missing colourways": (
        {10: "", 11: "", 12: "", 13: ""},
        [(1, "colourways", "this key is missing; give the colour of every loop under [colourways.NAME]")],
    ),
    "no colourway": ({10: "[colourways]", 11: "", 12: "", 13: ""}, [(10, "colourways", "there is no colourway")]),
    "colourway that is no table": (
        {10: "[colourways]\nplain = 1", 11: "", 12: "", 13: ""},
        [(11, "colourways.plain", "a table is needed, not the number 1")],
    ),
    "unknown colour": (
        {11: '"left middle" = "lihgt"'},
        [
            (
                11,
                "colourways.plain.left middle",
                'no colour is called "lihgt" (did you mean "light"?); colours are "light", "dark"',
            )
        ],
    ),
    "unknown lower colour": (
        {12: '"left ring" = "light over red"'},
        [(12, "colourways.plain.left ring", 'no colour is called "red"; colours are')],
    ),
    "three colours on one loop": (
        {12: '"left ring" = "light over dark over light"'},
        [(12, "colourways.plain.left ring", "a loop has two shanks")],
    ),
    "colour that is no text": (
        {12: '"left ring" = 7'},
        [(12, "colourways.plain.left ring", "not the number 7; write")],
    ),
    "finger without a colour": ({13: ""}, [(10, "colourways.plain", "no colour is given for right ring")]),
    "colour for an empty finger": (
        {13: RIGHT_RING + '\n"right thumb" = "dark"'},
        [
            (
                14,
                "colourways.plain.right thumb",
                "right thumb holds no loop; take this line out, or add the finger to loops",
            )
        ],
    ),
    "unknown finger in a colourway": (
        {13: RIGHT_RING + '\n"right tumb" = "dark"'},
        [(14, "colourways.plain.right tumb", 'did you mean "right thumb"?')],
    ),
    # Which kind of move.
    "missing cycle": (
        dict.fromkeys(range(14, 29), ""),
        [(1, "cycle", "this key is missing; write each move under a [[cycle]]")],
    ),
    "empty cycle": (
        {6: LOOPS + "\ncycle = []", **dict.fromkeys(range(14, 29), "")},
        [(7, "cycle", "the cycle is empty")],
    ),
    "cycle that is a table": ({14: "[cycle]", **dict.fromkeys(range(19, 29), "")}, [(14, "cycle", "not a table")]),
    "move that is no table": (
        {6: LOOPS + '\ncycle = ["tighten"]', **dict.fromkeys(range(14, 29), "")},
        [(7, "cycle", 'a table is needed, not "tighten"')],
    ),
    "two kinds in one move": (
        {28: "tighten = true\nturn = 'left ring'"},
        [(29, "turn", "can't be tighten and turn at once; put [[cycle]] on a line of its own before")],
    ),
    "no kind of move": (
        {15: 'taek = "left ring"'},
        [(14, "cycle", 'shift, tighten; "taek" is no move (did you mean "take"?)')],
    ),
    "only wording": ({28: 'say = "Beat it up"'}, [(27, "cycle", "the kind of move is missing")]),
    "key of another kind": (
        {16: 'to = "right middle"'},
        [
            (14, "by", "this key is missing; name a finger"),
            (16, "to", 'the move take has no key "to"; allowed: take, by'),
        ],
    ),
    "misspelt key of a move": (
        {17: 'thru = ["right ring"]'},
        [(17, "thru", 'no key "thru" (did you mean "through"?)')],
    ),
    # Taking and passing.
    "take from an unknown finger": ({15: 'take = "left rign"'}, [(15, "take", 'did you mean "left ring"?')]),
    "through that is a text": (
        {17: 'through = "right ring"'},
        [(17, "through", 'a list in square brackets is needed, not "right ring"')],
    ),
    "through an unknown finger": (
        {17: 'through = ["right wrong"]'},
        [(17, "through", 'no finger is called "right wrong"')],
    ),
    "unknown way of turning": (
        {18: 'turned = "inwards"'},
        [
            (
                18,
                "turned",
                '"inwards" is not allowed here (did you mean "inward"?); give one of "unturned", "inward" or "outward"',
            )
        ],
    ),
    "empty wording": ({18: 'say = ""'}, [(18, "say", "the text is empty; write it or leave the key out")]),
    "empty cue": ({18: 'cue = " "'}, [(18, "cue", "the text is empty; write it or leave the key out")]),
    "cue too long": ({18: f'cue = "{"x" * 31}"'}, [(18, "cue", "31 characters; at most 30")]),
    "cue of two lines": ({18: 'cue = "a\\nb"'}, [(18, "cue", "one plain line; take out the line break")]),
    "cue that is no text": ({18: "cue = 3"}, [(18, "cue", "a text in quotation marks is needed, not the number 3")]),
    "only a cue": ({28: 'cue = "Beat"'}, [(27, "cycle", "the kind of move is missing")]),
    "wording too long": ({18: f'say = "{"x" * 81}"'}, [(18, "say", "81 characters; at most 80")]),
    "pass without a goal": (
        {15: 'pass = "left ring"', 16: "", 17: 'over = ["right ring"]'},
        [(14, "to", "this key is missing")],
    ),
    "pass through": (
        {15: 'pass = "left ring"', 16: 'to = "right middle"'},
        [(17, "through", 'the move pass has no key "through"; allowed: pass, to, over, under, turned, say, cue')],
    ),
    # Exchange, turn, shift, tighten.
    "exchange of three": (
        {**EXCHANGE, 15: 'exchange = ["left ring", "right ring", "left middle"]'},
        [(15, "exchange", "two different fingers are needed, not 3")],
    ),
    "exchange with itself": (
        {**EXCHANGE, 15: 'exchange = ["left ring", "left ring"]'},
        [(15, "exchange", "the same finger is named twice")],
    ),
    "exchange without a way": (
        {**EXCHANGE, 16: ""},
        [(15, "exchange", "exactly one of inside, over and under is needed, not none")],
    ),
    "exchange two ways": ({**EXCHANGE, 17: 'over = "left ring"'}, [(17, "over", "not inside and over")]),
    "exchange of others": (
        {**EXCHANGE, 16: 'inside = "left thumb"'},
        [(16, "inside", '"left thumb" is not one of the two fingers')],
    ),
    "exchange turned on a third finger": (
        {**EXCHANGE, 18: 'turned = { "left thumb" = "inward" }'},
        [(18, "turned.left thumb", "not one of the two fingers")],
    ),
    "exchange turned some way": (
        {**EXCHANGE, 18: 'turned = { "left ring" = "twice" }'},
        [(18, "turned.left ring", '"twice" is not allowed here')],
    ),
    "turn without a way": (
        {28: 'turn = "left ring"'},
        [(27, "way", 'this key is missing; give one of "inward" or "outward"')],
    ),
    "turn that turns nothing": (
        {28: 'turn = "left ring"\nway = "unturned"'},
        [(29, "way", '"unturned" is not allowed here')],
    ),
    "shift of nothing": ({24: "shift = []"}, [(24, "shift", "a shift needs at least one step")]),
    "shift of a finger": (
        {24: 'shift = ["left middle"]'},
        [(24, "shift", '"left middle" is no step of a shift; write each step as "left ring to left little"')],
    ),
    "shift steps, each on its line": (
        {24: 'shift = [\n"left middle to left rung",\n5,\n]'},
        [(25, "shift", '"left rung" (did you mean "left ring"?)'), (26, "shift", "the number 5 is no step")],
    ),
    "tighten false": ({28: "tighten = false"}, [(28, "tighten", "only true is allowed, not false")]),
}


def test_the_recipe_that_the_cases_change_is_good(purse_string):
    assert read_recipe(purse_string({}), "purse-string").title == "Purse string"
    assert all(line in purse_string({}).splitlines() for line in (TITLE, HELD, LOOPS, DARK, RIGHT_RING))


@pytest.mark.parametrize(("changes", "expected"), CASES.values(), ids=CASES.keys())
def test_a_mistake_is_reported_with_its_line_its_key_and_what_is_allowed(problems, changes, expected):
    found = problems(changes)
    assert [(problem.line, problem.key) for problem in found] == [(line, key) for line, key, _ in expected], found
    for problem, (_, _, words) in zip(found, expected, strict=True):
        assert words in problem.message


@pytest.mark.parametrize("changes", [changes for changes, _ in CASES.values()], ids=CASES.keys())
def test_a_message_is_one_line_and_one_sentence(problems, changes):
    for problem in problems(changes):
        assert problem.message.isprintable()
        assert not problem.message.endswith(".")
        assert ". " not in problem.message


def test_all_mistakes_are_reported_at_once_in_the_order_of_lines(problems):
    found = problems(
        {1: "", 4: 'sure = "maybe"', 8: "light = 1", 12: '"left ring" = "red"', 16: 'by = "nose"', 28: 'turn = "toe"'}
    )
    assert [problem.line for problem in found] == [1, 4, 8, 12, 16, 27, 28]


def test_a_long_key_or_value_is_cut_in_messages(problems):
    found = problems({4: f'sure = "{"x" * 5000}"', 5: f"{'y' * 5000} = 1"})
    assert all(len(str(problem)) < 300 for problem in found)


def test_the_error_reads_like_a_list_of_places_in_the_file(purse_string):
    with pytest.raises(RecipeError) as caught:
        read_recipe(purse_string({4: 'sure = "maybe"', 28: "tighten = 3"}), "purse-string", "my/purse-string.toml")
    first, second = str(caught.value).splitlines()
    assert first.startswith('my/purse-string.toml:4: sure: "maybe" is not allowed here; give one of')
    assert second.startswith("my/purse-string.toml:28: tighten: only true is allowed, not the number 3")
