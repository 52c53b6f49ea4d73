"""A cord over two starts of the program, with backs, a pause and a measurement: the sum is right to the cycle."""

from __future__ import annotations

from argparse import Namespace

import pytest

from companion import library
from companion.practice.commands import Command
from companion.practice.events import Answered, Begun, Heard, Keep, Record, Say
from companion.practice.goal import Goal, Measure
from companion.practice.position import Position
from companion.practice.sequencer import begin, step
from companion.practice.state import Phase, Plan
from companion.session import setting
from companion.session.cord_choice import cord_choice
from companion.session.keeper import Keeper
from companion.session.usage import UsageFault

RECIPE = library.load("five-loop-square")
COLOURWAY = RECIPE.colourways[0]
MOVES = len(RECIPE.cycle)
CHOSEN = {"cycles": None, "repeats": None, "length": None, "yarn": None, "rest_every": None}


class Sitting:
    """One start of the program, from journal to journal, on a clock of its own; every word takes ten seconds."""

    def __init__(self, folder, **chosen):
        self.notes = []
        self.keeper = Keeper(folder, self.notes.append)
        options = Namespace(**{**CHOSEN, **chosen})
        last = self.keeper.last(RECIPE)
        on = last.id if last is not None and last.how != "completed" else None
        choice = cord_choice(options, RECIPE, COLOURWAY, on, self.keeper, self.notes)
        stopped_at = last.position if on is not None else Position()
        plan = Plan(RECIPE, COLOURWAY, brief=True, stopped_at=stopped_at, **vars(choice))
        self.keeper.begin(RECIPE, COLOURWAY.name, on, stopped_at, yarn=options.yarn or "")
        self.state = begin(plan)
        self.book = setting.phrasebook()
        self.said = []
        self.now_s = 100.0
        self.tell(Begun())

    def tell(self, event):
        self.state, effects = step(self.state, event)
        self.said = [self.book.text(effect.prompt) for effect in effects if isinstance(effect, Say)]
        for effect in effects:
            if isinstance(effect, Record):
                self.keeper.record(effect.kind, effect.position, effect.detail)
            elif isinstance(effect, Keep):
                self.keeper.keep(effect.kind, effect.key, effect.value)
        if self.state.phase is Phase.ENDED:
            self.keeper.end(effects[-1].how)
        return self

    def hear(self, *words):
        for word in words:
            self.now_s += 10.0
            self.tell(Heard(Command(word), at_s=self.now_s))
        return self

    def killed(self):
        """The program ends without a word."""
        self.keeper.close()


def test_forty_cycles_over_two_starts_are_right_to_the_cycle(tmp_path):
    first = Sitting(tmp_path, cycles=40)
    first.hear("next", *["next"] * (21 * MOVES + 2), "back", "back", "next", "again", "pause", "carry on", "next")
    first.hear("measured").tell(Answered("7", at_s=first.now_s))
    made = first.state.position.made
    first.killed()
    second = Sitting(tmp_path)
    assert second.notes == ["The goal of this cord: 40 cycles; --cycles, --repeats or --length gives another."]
    second.hear("yes", "how far")
    assert second.said[0] == "Twenty-one of forty cycles are made."
    told = []
    moves = 0
    while second.state.phase is not Phase.ENDED:
        second.hear("next")
        moves += 1
        told += [said for said in second.said if said.endswith("made.") or "left" in said]
    assert made + moves == 40 * MOVES
    assert told == ["Three quarters of the cord are made.", "One cycle is left."]
    report = second.said[-1]
    assert "in all forty cycles." in report
    # 40 cycles of a minute, and what was undone, asked and repeated: about 41 minutes at the loops.
    assert "Time in all: forty" in report
    assert "By your ruler: about thirteen centimetres." in report


def test_a_completed_cord_s_measure_serves_the_next_of_that_yarn(tmp_path):
    first = Sitting(tmp_path, cycles=6, yarn="tex 300")
    first.hear("next", *["next"] * (5 * MOVES), "measured").tell(Answered("2", at_s=first.now_s))
    first.hear(*["next"] * MOVES)
    assert first.state.phase is Phase.ENDED
    first.killed()
    alike = Sitting(tmp_path, length="60cm", yarn="Tex  300").hear("next", "how far")
    assert alike.said[-1].endswith("cycles remain.")
    alike.killed()
    other = Sitting(tmp_path, length="60cm", yarn="tex 60").hear("no", "next", "how far")
    assert other.said[-1] == "Measure the cord, and I can tell how much remains."


def test_a_cord_that_is_declined_takes_its_goal_and_measure_with_it(tmp_path):
    first = Sitting(tmp_path, length="60 cm").hear("next", *["next"] * 70, "measured")
    first.tell(Answered("4", at_s=first.now_s)).killed()
    second = Sitting(tmp_path).hear("no", "next", "how far")
    assert (second.state.cord.goal, second.state.cord.measured) == (None, ())
    assert second.state.plan.goal_cycles == 0


def test_a_goal_told_anew_takes_the_place_of_the_old_one(tmp_path):
    Sitting(tmp_path, cycles=40).hear("next", *["next"] * 20).killed()
    Sitting(tmp_path, repeats=4).hear("yes").killed()
    third = Sitting(tmp_path).hear("yes")
    assert third.state.cord.goal == Goal(Measure.REPEATS, 4)
    assert third.state.plan.goal_cycles == 20


def test_the_time_between_rests_is_kept_for_every_cord(tmp_path):
    assert Sitting(tmp_path).state.plan.rest_every_min == 25
    Sitting(tmp_path, rest_every=40.0).killed()
    assert Sitting(tmp_path).state.plan.rest_every_min == 40


@pytest.mark.parametrize("length", ["long", "60", "0cm", "900m"])
def test_a_length_that_is_none_gets_a_sentence(tmp_path, length):
    with pytest.raises(UsageFault, match="length"):
        Sitting(tmp_path, length=length)
