"""The commonest mistakes of whoever writes a first recipe, each made in a cord that was begun with ``companion new``.

What the program says must be one sentence that tells where, what is wrong and what to do; the line of the file is
shown with what is wrong in it marked, and where hands could not do it, the hands.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

import pytest

from companion.cli import main

ENDING = "# Other kinds of move"


@dataclass(frozen=True)
class Mistake:
    """What is written instead of what, on which line's text it is told, and what of it is marked.

    ``message``: how the sentence begins after line and key. ``remedy``: a line of what could be done, if anything.
    """

    right: str
    wrong: str
    key: str
    message: str
    marked: str
    remedy: str = ""


LEFT_SHIFT = '[[cycle]]\nshift = ["left middle to left ring", "left index to left middle"]\n'
RIGHT_SHIFT = 'shift = ["right ring to right little", "right middle to right ring", "right index to right middle"]'
THROUGH = 'through = ["left index", "left middle"]'

MISTAKES = {
    "a misspelt finger": Mistake(
        'by = "right index"',
        'by = "right indx"',
        "by",
        'no finger is called "right indx" (did you mean "right index"?)',
        '"right indx"',
    ),
    "another word for a finger": Mistake(
        '"right ring", "right little"]\n\n# The colours',
        '"right ring", "right pinky"]\n\n# The colours',
        "loops",
        'no finger is called "right pinky" (did you mean "right little"?)',
        '"right pinky"',
    ),
    "a finger without its hand": Mistake(
        'by = "right index"',
        'by = "index"',
        "by",
        'no finger is called "index" (did you mean "left index" or "right index"?)',
        '"index"',
    ),
    "missing quotation marks": Mistake(
        'by = "right index"',
        "by = right index",
        "by",
        'a text stands in quotation marks: "right index"',
        "right index",
    ),
    "a missing comma": Mistake(
        '"left index", "left middle"]\nturned',
        '"left index" "left middle"]\nturned',
        "through",
        "a comma is missing before this entry of the list",
        '"',
    ),
    "quotation marks of a word processor": Mistake(
        'by = "right index"',
        "by = “right index”",
        "by",
        'these are a word processor\'s quotation marks; write plain ones, as in "left index"',
        "“right index”",
    ),
    "a take from an empty finger": Mistake(
        'take = "left ring"',
        'take = "left little"',
        "take",
        "left little holds no loop; loops are on left ring, left middle, left index, right middle, right ring,",
        '"left little"',
        'take = "left ring"',
    ),
    "a loop in the way that is not named": Mistake(
        THROUGH,
        'through = ["left middle"]',
        "through",
        "the loop on left index is in the way; name every loop that is passed, under through, over or under",
        '["left middle"]',
        THROUGH,
    ),
    "an operator that holds a loop": Mistake(
        'by = "right index"',
        'by = "right middle"',
        "by",
        "right middle already holds a loop; free it with a shift first, or go through its own loop too",
        '"right middle"',
        'by = "right index"',
    ),
    "a forgotten shift": Mistake(
        LEFT_SHIFT,
        "",
        "by",
        "left index already holds a loop; free it with a shift first",
        '"left index"',
        'shift = ["left middle to left ring", "left index to left middle"]',
    ),
    "a shift in the wrong order": Mistake(
        '"left middle to left ring", "left index to left middle"',
        '"left index to left middle", "left middle to left ring"',
        "shift",
        "left middle still holds a loop; shift that one first",
        '["left index to left middle", "left middle to left ring"]',
        'shift = ["left middle to left ring", "left index to left middle"]',
    ),
    "hands held the other way": Mistake(
        'held = "index fingers in the middle"',
        'held = "little fingers in the middle"',
        "through",
        "the loops on right little, right ring and right middle are in the way",
        '["left index", "left middle"]',
        'held = "index fingers in the middle"',
    ),
    "a cycle that ends on other fingers": Mistake(
        RIGHT_SHIFT,
        "tighten = true",
        "cycle",
        "the cycle began with a loop on right little and ends with one on right index instead; it must end on",
        "",
        RIGHT_SHIFT,
    ),
    "a colourway that lacks a loop": Mistake(
        '"left ring" = "light"\n',
        "",
        "colourways.halves",
        "no colour is given for left ring; every loop needs one",
        "[colourways.halves]",
    ),
    "a colour that is not there": Mistake(
        '"left ring" = "light"',
        '"left ring" = "green"',
        "colourways.halves.left ring",
        'no colour is called "green"; colours are "light", "dark"',
        '"green"',
    ),
    "two colours in another way": Mistake(
        '"left ring" = "light over dark"',
        '"left ring" = "light/dark"',
        "colourways.bicolour.left ring",
        'no colour is called "light/dark"; of a bicolour loop write "light over dark"',
        '"light/dark"',
    ),
    "a colour's name for its looks": Mistake(
        '"#7a2e3a"', '"green"', "colours.dark", "a screen colour is needed, # and six digits", '"green"'
    ),
    "two kinds of move in one": Mistake(
        LEFT_SHIFT,
        f"{LEFT_SHIFT}tighten = true\n",
        "tighten",
        "one move can't be shift and tighten at once; put [[cycle]] on a line of its own before the second",
        "tighten",
    ),
    "one bracket": Mistake(
        '[[cycle]]\ntake = "left ring"',
        '[cycle]\ntake = "left ring"',
        "",
        "every move begins with [[cycle]], with two brackets on each side",
        "[cycle]",
    ),
    "a wrong word for turned": Mistake(
        'turned = "inward"',
        'turned = "inwards"',
        "turned",
        '"inwards" is not allowed here (did you mean "inward"?); give one of "unturned", "inward" or "outward"',
        '"inwards"',
    ),
    "one finger loaded twice": Mistake(
        '"left middle", "left index", "right middle"',
        '"left middle", "left middle", "right middle"',
        "loops",
        "left middle is listed twice; a finger is loaded with one loop",
        '"left middle"',
    ),
    "a list without brackets": Mistake(
        THROUGH,
        'through = "left index", "left middle"',
        "through",
        "several values stand in square brackets, with commas between",
        ",",
    ),
    "one value without brackets": Mistake(
        THROUGH,
        'through = "left index"',
        "through",
        'a list in square brackets is needed, not "left index"; write ["left index"]',
        '"left index"',
    ),
    "an arrow in a shift": Mistake(
        '"left middle to left ring"',
        '"left middle -> left ring"',
        "shift",
        '"left middle -> left ring" is no step of a shift (did you mean "left middle to left ring"?)',
        '"left middle -> left ring"',
    ),
    "a misspelt key": Mistake(
        THROUGH,
        THROUGH.replace("through", "trough"),
        "trough",
        'the move take has no key "trough" (did you mean "through"?)',
        "trough",
    ),
}


@pytest.fixture(scope="module")
def begun(tmp_path_factory) -> str:
    """A cord that the program doesn't ship, begun with companion new and filled in: a purse string of six loops."""
    path = tmp_path_factory.mktemp("workshop") / "purse-string.toml"
    assert main(("new", "purse-string", "--loops", "6", "--out", str(path))) == 0
    text = path.read_text(encoding="utf-8").partition(ENDING)[0]
    filled = text.replace(
        "What the cord looks like, and what it is for.", "A firm string for the purses of the first act."
    )
    return filled.rstrip() + "\n"


@pytest.fixture
def check(tmp_path, monkeypatch, capsys):
    """Check a text; the exit status, what is said in words, and what in JSON."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "300")

    def check(content: str | bytes) -> tuple[int, list[str], dict]:
        Path("purse-string.toml").write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
        capsys.readouterr()
        status = main(("check", "purse-string.toml"))
        said = capsys.readouterr()
        main(("check", "purse-string.toml", "--json"))
        assert said.err == ""
        return status, said.out.splitlines(), json.loads(capsys.readouterr().out)

    return check


def test_what_was_begun_is_right(check, begun):
    status, lines, _ = check(begun)
    assert status == 0
    assert lines[1] == "One cord, both edges closed; 2 ridges on each face."


@pytest.mark.parametrize("mistake", MISTAKES.values(), ids=MISTAKES.keys())
def test_a_common_mistake_is_told_in_one_sentence_with_its_place_and_what_to_do(check, begun, mistake):
    assert mistake.right in begun
    text = begun.replace(mistake.right, mistake.wrong, 1)
    status, lines, report = check(text)
    assert status == 1
    (problem,) = [line for line in lines if line.startswith("! ")]
    where, _, message = problem.removeprefix("! line ").partition(": ")
    if mistake.key:
        key, _, message = message.partition(": ")
        assert key == mistake.key
    assert message.startswith(mistake.message)
    assert "Traceback" not in problem
    if mistake.marked:
        (place,) = report["places"]
        assert place["line"] == int(where)
        marked = place["text"][place["column"] - 1 :][: place["length"]]
        assert marked == mistake.marked
        shown = lines.index(f"    {where} | {place['text']}")
        assert lines[shown + 1].strip(" |") == "^" * len(marked)
    # The mark points at the very line that was changed.
    if mistake.marked and mistake.wrong and not mistake.remedy:
        assert any(place["text"] in line or line in place["text"] for line in mistake.wrong.splitlines() if line)
    assert ("could_be" in (report["hands"] or {})) == bool(mistake.remedy)
    if mistake.remedy:
        assert any(line.startswith("The hands ") for line in lines)
        assert f"    {mistake.remedy}" in lines
        assert report["hands"]["could_be"][0]["closes"]


@pytest.mark.parametrize(
    "content",
    [
        lambda text: text.replace("\n", "\r\n").encode(),
        lambda text: text.encode("utf-8-sig"),
        lambda text: text.replace("\n", "\r\n").encode("utf-8-sig"),
        lambda text: text.replace("\n", "\r").encode(),
        lambda text: text.replace(" = ", "\t=\t").encode(),
        lambda text: text.replace("\ntake", "\n\ttake").encode(),
        lambda text: text.rstrip().encode(),
        lambda text: (text + "\n\n   \n").encode(),
    ],
    ids=["Windows line ends", "BOM", "both", "old line ends", "tabs", "tab before", "no end of line", "blank lines"],
)
def test_what_editors_do_to_a_file_is_no_mistake(check, begun, content):
    assert check(content(begun))[0] == 0


def test_a_file_in_another_encoding_says_how_to_save_it(tmp_path, begun, capsys):
    path = tmp_path / "purse-string.toml"
    path.write_bytes(begun.encode("utf-16"))
    capsys.readouterr()
    assert main(("check", str(path))) == 1
    assert capsys.readouterr().err == f"{path}:1: this is not UTF-8 text; save the file as UTF-8\n"
