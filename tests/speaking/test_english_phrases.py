"""The English phrasebook: no command word in it, and everything the practice core can say is there, and short."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from itertools import islice
from pathlib import Path

import pytest

from companion.library import load, names
from companion.loops.hands import Hands, HeldLoop
from companion.practice import steps, talk
from companion.practice.position import Position
from companion.practice.prompt import Prompt
from companion.practice.state import Plan, State
from companion.practice.wording import count_prompt, move_prompt, undo_prompt
from companion.recipe.model import Action, Exchange, Move, Pass, Passing, Shift, Take, Tighten, Turn, Turned
from companion.recipe.places import Hold, Place, lateral_order
from companion.speaking.clips import ClipVoice
from companion.speaking.phrasebook import Phrasebook
from companion.speaking.voice import Voice

WordsOf = Callable[[str], list[str]]

LONGEST_MOVE_S, LONGEST_SLOW_MOVE_S = 3.2, 4.0
"""About 2.5 s for most moves, a little more where a finger goes over some loops and through others; said slowly
the moves of several braiders, too, made together and called by their names."""


@pytest.fixture
def commands(prompts_folder: Path, words_of: WordsOf) -> list[list[str]]:
    """Every wording of every command, as words."""
    vocabulary = tomllib.loads((prompts_folder / "en" / "vocabulary.toml").read_text(encoding="utf-8"))
    return [words_of(wording) for wordings in vocabulary["commands"].values() for wording in wordings]


def holds(words: list[str], wording: list[str]) -> bool:
    """Whether the wording stands in the words, as whole words in a row."""
    return any(words[at : at + len(wording)] == wording for at in range(len(words)))


def test_no_phrase_holds_a_command(english: Phrasebook, commands: list[list[str]], words_of: WordsOf) -> None:
    assert len(commands) > 10
    found = [
        (name, " ".join(wording))
        for name, text in [*english.utterances.items(), *english.phrases.items()]
        for wording in commands
        if holds(words_of(text), wording)
    ]
    assert found == []


def test_the_walk_finds_a_command_where_there_is_one(words_of: WordsOf) -> None:
    assert holds(words_of("Now go back, please."), ["go", "back"])
    assert holds(words_of("no-one"), ["no"])
    assert not holds(words_of("nothing"), ["no"])


def plans() -> Iterator[Plan]:
    """Every shipped recipe in each of its colourways."""
    for name in names():
        recipe = load(name)
        for colourway in recipe.colourways:
            yield Plan(recipe, colourway)


@cache
def first_plans() -> tuple[Plan, ...]:
    """Every shipped recipe in its first colourway: moves have no colours."""
    return tuple(plan for plan in plans() if plan.colourway == plan.recipe.colourways[0])


def plan_name(plan: Plan) -> str:
    return f"{plan.recipe.title}, {plan.colourway.name}"


def said(plan: Plan) -> Iterator[Prompt]:
    """What a session of this plan can say."""
    state = State(plan)
    yield talk.greeting(state)
    yield talk.from_the_start(state)
    yield from talk.loading(state)
    yield from talk.where(state)
    yield talk.offer(state)
    yield talk.report(state)
    for number in range(1, plan.moves + 1) if plan in first_plans() else ():
        yield talk.move(plan, number)
        yield talk.undo(plan, number)
    yield from (count_prompt(cycle, plan.cycles_in_repeat, 1) for cycle in range(1, plan.cycles_in_repeat + 1))
    yield from (talk.ALL_DONE, talk.NOTHING_TO_UNDO, talk.RESTING, talk.GOING_ON, talk.STOP_HERE, talk.GO_FROM_THERE)
    yield from (talk.AS_BEFORE, talk.HEARD_BADLY)
    yield from (talk.speed(change, limit) for change in (-1, 1) for limit in (False, True))


@pytest.mark.parametrize("plan", list(plans()), ids=plan_name)
def test_all_a_shipped_recipe_says_has_a_clip(plan: Plan, english: Phrasebook, clips: ClipVoice) -> None:
    voice = Voice(english, "clips", clips)
    for prompt in said(plan):
        utterance = voice.sound(prompt)
        assert utterance.silent == ()
        assert utterance.seconds > 0.2


@pytest.mark.parametrize("plan", first_plans(), ids=plan_name)
def test_a_move_takes_about_three_seconds_at_most_and_four_said_slowly(
    plan: Plan, english: Phrasebook, clips: ClipVoice
) -> None:
    voice = Voice(english, "clips", clips)
    position = Position()
    while position.prompted < plan.moves:
        position = steps.forward(plan, position)
        prompt = talk.move(plan, position.to_come)
        if plan.recipe.braiders == 1:
            assert voice.sound(prompt).seconds <= LONGEST_MOVE_S, prompt
        assert round(voice.sound(prompt, "slow").seconds, 1) <= LONGEST_SLOW_MOVE_S, prompt


@pytest.mark.parametrize("plan", list(plans()), ids=plan_name)
def test_greeting_and_loading_take_less_than_40_seconds(plan: Plan, english: Phrasebook, clips: ClipVoice) -> None:
    voice = Voice(english, "clips", clips)
    state = State(plan)
    for speed in ("slow", "normal"):
        lengths = [voice.sound(prompt, speed).seconds + 0.3 for prompt in (talk.greeting(state), *talk.loading(state))]
        assert sum(lengths) < 40


HALF_TURNS = (Turned.INWARD, Turned.OUTWARD)


def actions(hands: Hands) -> Iterator[tuple[Action, Hands]]:
    """Every kind of move between any two of the hands' fingers, each with hands that can make it."""
    first, last = hands.places[0], hands.places[-1]
    yield Tighten(), holding(hands, first)
    for start in hands.places:
        for way in HALF_TURNS:
            yield Turn(start, way), holding(hands, start)
        for to in hands.places:
            if to == start:
                continue
            if (to.side, to.braider) == (start.side, start.braider):
                yield Shift(((start, to),)), holding(hands, start)
            for way in Turned:
                yield Take(start, to, turned=way), holding(hands, start)
                yield Pass(start, to, turned=way), holding(hands, start)
                for other_way in Turned:
                    for passing in Passing:
                        yield Exchange(start, to, passing, way, other_way), holding(hands, start, to)
    for inner in range(2, len(hands.places)):
        passed = hands.places[1:inner]
        yield Take(last, first, through=passed), holding(hands, last, *passed)
        yield Take(last, first, over=passed[::2], under=passed[1::2]), holding(hands, last, *passed)
        yield Pass(first, last, over=passed), holding(hands, first, *passed)
        yield Pass(last, first, under=passed), holding(hands, last, *passed)


def holding(hands: Hands, *places: Place) -> Hands:
    """The same fingers with one loop on each of these."""
    in_order = sorted(places, key=hands.places.index)
    return Hands(hands.places, tuple(HeldLoop(number, place, True) for number, place in enumerate(in_order)))


@pytest.mark.parametrize("braiders", [1, 2, 3])
@pytest.mark.parametrize("hold", Hold)
def test_whatever_a_recipe_has_the_hands_do_can_be_said(braiders: int, hold: Hold, english: Phrasebook) -> None:
    recipe = replace(load("five-loop-square"), braiders=braiders, held=hold)
    tried = 0
    # Of three braiders' moves every fifth: they have the words of two, and there are too many to say all of them.
    for action, before in islice(actions(Hands(lateral_order(hold, braiders), ())), 0, None, 5 if braiders == 3 else 1):
        move = Move(action)
        prompts = [move_prompt(recipe, move), undo_prompt(recipe, move, before)]
        assert all(english.clip_name(text) for prompt in prompts for text in english.clips(prompt))
        tried += 1
    assert tried > 2000
