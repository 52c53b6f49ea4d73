"""Whole cords through sound: a braider who speaks, a program that answers, and a report that is right to the cycle."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from session_dialogue import Dialogue
from session_program import environment, run

from companion import library
from companion.cli import main
from companion.loops.cycle import colour_repeat, hands_after
from companion.practice.finding import where_it_stands
from companion.practice.position import Position
from companion.practice.search import EMPTY, Ask, Offer
from companion.practice.state import Phase
from companion.session import practise


def of(kind, lines):
    """The texts of the lines of a kind."""
    return [line.removeprefix(f"{kind}: ") for line in lines if line.startswith(f"{kind}: ")]


class Talk:
    """Runs the program on a dialogue; ``state`` is what the session has come to."""

    def __init__(self, folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
        self._folder = folder
        self._capsys = capsys
        self._monkeypatch = monkeypatch
        self.state = None
        monkeypatch.setenv("COMPANION_HOME", str(folder / "home"))
        plain = practise.PRACTICE
        monkeypatch.setattr(practise, "PRACTICE", replace(plain, step=self._noting(plain.step)))

    def _noting(self, step):
        def noted(state, event):
            self.state, effects = step(state, event)
            return self.state, effects

        return noted

    def run(self, *arguments: str, says) -> list[str]:
        """The lines of a run in which the braider says what ``says`` gives for the state."""
        dialogue = Dialogue(self._folder, lambda: says(self.state))
        self._monkeypatch.setattr(practise, "open_world", lambda options: dialogue)
        assert main(["practise", *arguments, "--plain", "--voice", "clips"]) == 0
        self.dialogue = dialogue
        return self._capsys.readouterr().out.splitlines()


@pytest.fixture
def talk(tmp_path, monkeypatch, capsys):
    return Talk(tmp_path, monkeypatch, capsys)


class Hands:
    """What she really holds, and what she says to the program."""

    def __init__(self, recipe):
        self.recipe = recipe
        self.made = 0

    def colour(self, place):
        loops = hands_after(self.recipe, self.made).on(place)
        return loops[0].colours(self.recipe.colourways[0]).upper if loops else EMPTY

    def answer(self, state):
        """What she answers when she is asked for her place."""
        step = where_it_stands(state).step
        if isinstance(step, Ask):
            return self.colour(step.place)
        assert isinstance(step, Offer)
        repeat = colour_repeat(self.recipe, self.recipe.colourways[0]) * len(self.recipe.cycle)
        return "yes" if (step.made - self.made) % repeat == 0 else "no"


@pytest.mark.slow
def test_a_place_lost_in_the_third_cycle_is_found_and_the_cord_goes_on(talk, tmp_path):
    recipe = library.load("five-loop-square")
    hers = Hands(recipe)
    wandered = False

    def says(state):
        nonlocal wandered
        if state.phase is Phase.FINDING:
            return hers.answer(state)
        if state.phase is Phase.ASKING:
            return "yes"
        if state.position.made == 14 and not wandered:
            # Somebody talks to her: she makes three moves more and then doesn't know where she is.
            wandered = True
            hers.made = 17
            return "lost"
        if state.position.made >= 20:
            return "finish"
        hers.made = state.position.made + state.position.under_way
        return "next"

    lines = talk.run("five-loop-square", "--brief", says=says)
    said = of("say", lines)
    found = said[said.index("Left index. Which colour?") :]
    assert of("heard", lines)[15:20] == ["lost", *["light"] * 4]
    assert found[4].startswith("You are at cycle three of five, repeat one, move six of six.")
    assert found[5:7] == ["Tighten.", "Cycle three done."]
    assert said[-1].startswith("You made three cycles and two moves.")
    # The same sound from a file, in a process of its own.
    replayed = run(
        ("practise", "five-loop-square", "--brief", "--from-audio", str(talk.dialogue.save(tmp_path / "lost.wav"))),
        environment(tmp_path / "anew"),
    )
    assert replayed.of("say") == said


@pytest.mark.slow
def test_a_cord_of_forty_cycles_over_two_starts_is_right_to_the_cycle(talk):
    did = set()

    def once(what):
        if what in did:
            return False
        did.add(what)
        return True

    def says(state):
        cycles = state.position.made // 6
        if state.phase is Phase.OFFERING:
            return "yes"
        if state.phase is Phase.MEASURING:
            return "twelve"
        if state.phase is Phase.PAUSED:
            return "carry on"
        if cycles == 3 and once("back"):
            return "back"
        if cycles == 9 and once("pause"):
            return "pause"
        if cycles == 12 and once("measured"):
            return "measured"
        if cycles == 17 and once("leave"):
            return None
        if cycles == 25 and once("how far"):
            return "how far"
        return "next"

    first = talk.run("five-loop-square", "--brief", "--cycles", "40", "--whole-cycle", says=says)
    assert "As before: cycle three." in of("say", first)
    assert "Resting." in of("say", first)
    assert "Twelve centimetres: about one cycle a centimetre." in of("say", first)
    second = talk.run("five-loop-square", "--brief", "--whole-cycle", says=says)
    said = of("say", second)
    assert (
        said[0] == "Last time you stopped at cycle three of five, repeat four, move one of six. Shall we go from there?"
    )
    told = [sentence for sentence in of("say", first) + said if "of the cord" in sentence or "is left" in sentence]
    assert told == [
        "A quarter of the cord is made.",
        "Half of the cord is made.",
        "Three quarters of the cord are made.",
        "One cycle is left.",
    ]
    at = said.index("Twenty-five of forty cycles are made.")
    assert said[at + 1] == "It is about twenty-five centimetres long."
    assert said[-1].startswith("You made twenty-three cycles, in all forty cycles. Time in all: ")
    assert "By your ruler: about forty centimetres." in said[-1]
    assert talk.state.position == Position(240)
