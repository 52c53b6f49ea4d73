"""The front door: what can be asked, how mistakes are answered, and with which exit status."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest
from session_program import PROGRAM, PROJECT, environment

from companion import library

pytestmark = pytest.mark.slow

KEYS = ("--plain", "--brief", "--listen", "keys", "--voice", "off")


@pytest.mark.parametrize(
    ("arguments", "named"),
    [
        (("practise", "--cycles", "0"), "cycles"),
        (("practise", "--cycles", "many"), "many"),
        (("practise", "--pace", "hurried"), "hurried"),
        (("practise", "--seconds-per-move", "-3"), "-3"),
        (("practise", "--seconds-per-move", "nan"), "nan"),
        (("practise", "--listen", "whisper"), "whisper"),
        (("practise", "--sensitivity", "bold"), "bold"),
        (("sound-check", "--sensitivity", "bold"), "bold"),
        (("practise", "--voice", "loud"), "loud"),
        (("practise", "five-loop-square", "five-loop-flat"), "five-loop-flat"),
        (("practise", "--no-such-option"), "--no-such-option"),
        (("knit",), "knit"),
        (("practise", "five-loop-square", "--colourway", "tartan", *KEYS), "tartan"),
    ],
)
def test_a_mistake_in_what_is_asked_is_status_2(companion, arguments, named):
    done = companion(*arguments)
    assert done.status == 2
    assert named in done.err
    assert done.out == ""


def test_an_unknown_colourway_is_told_with_those_there_are(companion):
    done = companion("practise", "five-loop-square", "--colourway", "tartan", *KEYS)
    assert all(name in done.err for name in ("workshop", "halves", "bicolour"))


def test_an_unknown_recipe_is_status_1_and_a_close_one_is_suggested(companion):
    done = companion("practise", "five-lop-square", *KEYS)
    assert (done.status, done.out) == (1, "")
    assert "five-loop-square" in done.err


def test_all_mistakes_of_a_recipe_are_told_at_once(companion, tmp_path):
    own = tmp_path / "lantern-cord.toml"
    own.write_text(
        'title = "Lantern cord"\nheld = "elbows in the middle"\nloops = ["left toe"]\ncolour = 3\n', encoding="utf-8"
    )
    done = companion("practise", own, *KEYS)
    assert (done.status, done.out) == (1, "")
    assert all(mistake in done.err for mistake in ("elbows in the middle", "left toe", "colour"))
    assert str(own) in done.err


@pytest.mark.parametrize(
    ("options", "named"),
    [
        (("--from-audio", "nowhere.wav"), "nowhere.wav"),
        (("--from-audio", "."), "."),
        (("--vocabulary", "nowhere.toml"), "nowhere.toml"),
        (("--from-audio", "in.wav", "--to-audio", "no-such-folder/out.wav"), "no-such-folder/out.wav"),
    ],
)
def test_a_file_that_can_t_be_used_is_status_1(companion, script, home, options, named):
    script(0.5).path.rename(home / "in.wav")
    done = companion("practise", "five-loop-square", "--plain", *options)
    assert (done.status, done.out) == (1, "")
    assert named in done.err
    assert len(done.err.strip().splitlines()) == 1


def test_a_sound_file_that_is_no_sound_is_status_1(companion, tmp_path):
    text = tmp_path / "shopping.wav"
    text.write_text("four ells of braid", encoding="utf-8")
    done = companion("practise", "five-loop-square", "--plain", "--from-audio", text)
    assert (done.status, done.out) == (1, "")
    assert "shopping.wav" in done.err


def test_a_missing_recipe_file_is_status_1(companion):
    done = companion("practise", "nowhere.toml", *KEYS)
    assert done.status == 1
    assert "nowhere.toml" in done.err


def test_a_fault_before_the_session_leaves_no_session_in_the_journal(companion):
    companion("practise", "five-loop-square", "--plain", "--from-audio", "nowhere.wav")
    companion("practise", "five-loop-square", *KEYS, keys="next\n")
    again = companion("practise", "five-loop-square", *KEYS)
    assert again.of("say"), "the session that was begun is the one that is offered"


def test_without_a_command_the_help_is_shown(companion):
    done = companion()
    assert done.status == 2
    assert "practise" in done.out + done.err


def test_help_is_for_braiders(companion):
    done = companion("--help")
    assert done.status == 0
    assert all(word in done.out for word in ("next", "where am I", "practise", "recipes", "sound-check", "fingers"))
    for command in ("practise", "recipes", "sound-check"):
        assert companion(command, "--help").status == 0


def names_listed(lines):
    """The first word of every line that begins with two spaces: sentences about cords stand further in."""
    return [line.split()[0] for line in lines if line.startswith("  ") and not line.startswith("   ")]


def test_recipes_are_listed_by_braiders_then_by_loops(companion):
    done = companion("recipes")
    assert done.status == 0
    recipes = [library.load(path.stem) for path in (PROJECT / "recipes").glob("*.toml")]
    recipes.sort(key=lambda recipe: (recipe.braiders, len(recipe.loops), recipe.name))
    assert names_listed(done.lines) == [recipe.name for recipe in recipes]
    headings = [line for line in done.lines if line.startswith("For ")]
    assert headings[:2] == ["For one braider", "For two braiders"]
    for recipe in recipes:
        assert recipe.title in done.out
        assert recipe.about in " ".join(done.out.split())
    *_, empty, folder = done.lines
    assert empty == ""
    assert str(Path("companion") / "recipes") in folder


def test_only_some_recipes_are_listed_when_asked(companion):
    done = companion("recipes", "--loops", "5", "--braiders", "1")
    five = sorted(path.stem for path in (PROJECT / "recipes").glob("five-loop-*.toml"))
    assert names_listed(done.lines) == five
    assert "For two braiders" not in done.out
    nothing = companion("recipes", "--loops", "2")
    assert nothing.status == 0
    assert nothing.lines[0] == "There is no such cord; companion recipes lists all."
    assert companion("recipes", "--loops", "some").status == 2


def test_the_list_of_recipes_as_json(companion):
    listed = json.loads(companion("recipes", "--loops", "5", "--json").out)
    square = next(one for one in listed if one["name"] == "five-loop-square")
    assert square["colourways"] == ["workshop", "halves", "bicolour"]
    assert (square["braiders"], square["loops"], square["own"], square["problems"]) == (1, 5, False, [])
    assert square["source"].startswith("British Library, Harley MS 2320")


@pytest.mark.parametrize("arguments", [("recipes",), ("--help",), ("sound-check",)])
def test_a_reader_that_goes_away_is_no_fault(home, arguments):
    """As with ``companion recipes | head -1``: here the pipe is closed before the first line."""
    program = subprocess.Popen(
        (*PROGRAM, *arguments), env=environment(home), cwd=home, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    assert program.stdout is not None
    program.stdout.close()
    _, err = program.communicate(timeout=90)
    assert b"Traceback" not in err
    assert b"BrokenPipe" not in err


def test_the_sound_check_without_devices(companion):
    done = companion("sound-check")
    assert done.status == 0
    rows = dict(line.split(":", 1) for line in done.lines if ":" in line)
    assert set(rows) >= {"Microphones", "Loudspeakers", "Ear sphinx", "Ear vosk", "Voice clips", "Voice engine"}
    assert "none" in rows["Microphones"]
    assert "phrases" in rows["Voice clips"]


def test_the_sound_check_hears_a_file(companion, script):
    """flite's voice "slt"."""
    words = script(2, "next", 2, "where am I", 2)
    done = companion("sound-check", "--from-audio", words.path)
    assert done.status == 0
    heard = [line for line in done.lines if line.startswith("heard: ")]
    assert [line.rsplit(" at ", 1)[0] for line in heard] == ["heard: next", "heard: where am I"]
    for line, spoken in zip(heard, words.words, strict=True):
        assert float(line.rsplit(" at ", 1)[1].removesuffix(" s")) == pytest.approx(spoken.begins_s, abs=0.3)


def test_the_sound_check_names_a_model_that_can_t_be_used(companion, tmp_path):
    done = companion("sound-check", "--model", tmp_path / "nothing-here")
    assert "nothing-here" in done.out
    assert done.status in (0, 1)


def test_a_model_is_not_fetched_without_a_yes(companion):
    done = companion("sound-check", "--get-model", keys="no\n")
    assert done.status == 0
    assert "Nothing was fetched." in done.out
