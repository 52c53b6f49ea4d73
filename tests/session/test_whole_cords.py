"""Whole cords through sound: a braider who speaks, a program that answers, and a report that is right to the cycle."""

from __future__ import annotations

from pathlib import Path

import pytest
from session_dialogue import Dialogue

from companion import library
from companion.cli import main
from companion.loops.cycle import colour_repeat, hands_after
from companion.practice.finding import where_it_stands
from companion.practice.search import EMPTY, Ask, Offer
from companion.practice.state import Phase
from companion.session import practise
from companion.session.conduct import Conduct


class Talk:
    """Runs the program on a dialogue; ``state`` is what the session has come to."""

    def __init__(self, folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
        self._folder = folder
        self._capsys = capsys
        self._monkeypatch = monkeypatch
        self.state = None
        monkeypatch.setenv("COMPANION_HOME", str(folder / "home"))
        plain = practise.PRACTICE
        monkeypatch.setattr(practise, "PRACTICE", Conduct(self._noting(plain.step), plain.view))

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


def test_a_place_lost_in_the_third_cycle_is_found_and_the_cord_goes_on(talk):
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
    print("\n".join(lines))
    assert 0


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
    print("\n".join(first))
    second = talk.run("five-loop-square", "--brief", "--whole-cycle", says=says)
    print("\n".join(second))
    assert 0
