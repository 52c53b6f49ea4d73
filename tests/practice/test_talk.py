"""All that is said around the moves, and what the shipped recipes sound like: short prompts, a short beginning."""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from companion import library, practice
from companion.practice import cue_talk, steps, talk
from companion.practice.cues import Level, beginner, pinned
from companion.practice.position import Position
from companion.practice.prompt import Prompt
from companion.practice.sequencer import begin
from companion.practice.state import Plan, State
from companion.recipe.model import Recipe
from companion.speaking.clips import ClipVoice
from companion.speaking.phrasebook import Phrasebook
from companion.speaking.voice import Utterance, Voice

Text = Callable[[Prompt], str]
PlanFor = Callable[..., Plan]

LONGEST_MOVE_S = 3.2
"""About 2.5 s for most moves, a little more where a finger goes over some loops and through others."""
LONGEST_CALL_S = 3.7
"""Where braiders whose moves differ are called by their names."""
LONGEST_BEGINNING_S = 40.0
BETWEEN_PROMPTS_S = 0.25
CLIPS = library.prompt_folder() / "en" / "voices" / "hibari"
NAMES = library.names()


@pytest.fixture(scope="session")
def spoken(book: Phrasebook) -> Callable[[Prompt], Utterance]:
    """A prompt as the shipped clips say it at normal speed, with no engine to help out."""
    return Voice(book, "clips", ClipVoice(CLIPS, book)).sound


def stopping(plan: Plan, prompted: int, began: int = 0) -> State:
    """A session that stands after so many prompts, the last of them under way."""
    state = begin(plan)
    return State(plan, state.phase, Position(prompted, prompted > 0), Position(began, began > 0))


class TestPlace:
    @pytest.mark.parametrize(
        ("prompted", "words"),
        [
            (0, "Cycle one of five, repeat one, move one of six."),
            (1, "Cycle one of five, repeat one, move one of six."),
            (6, "Cycle one of five, repeat one, move six of six."),
            (7, "Cycle two of five, repeat one, move one of six."),
            (31, "Cycle one of five, repeat two, move one of six."),
        ],
    )
    def test_the_place_is_that_of_the_move_to_come(self, text: Text, plan: PlanFor, prompted: int, words: str) -> None:
        assert text(talk.place(stopping(plan(), prompted))) == words

    def test_after_an_undone_move_it_is_the_place_of_that_move(self, text: Text, plan: PlanFor) -> None:
        assert text(talk.place(State(plan(), position=Position(6)))).startswith(
            "Cycle two of five, repeat one, move one"
        )

    def test_where_every_cycle_is_a_repeat_the_cycle_says_it_all(self, text: Text, plan: PlanFor) -> None:
        state = stopping(plan("ten-loop-open-edge", "stripe"), 25)
        assert text(talk.place(state)) == "Cycle three, move five of ten."


class TestQuestionsAndAnswers:
    def test_the_offer_to_carry_on(self, text: Text, plan: PlanFor) -> None:
        said = text(talk.offer(stopping(plan(), 8)))
        assert said == (
            "Last time you stopped at cycle two of five, repeat one, move two of six. Shall we go from there?"
        )

    def test_what_the_hands_hold(self, text: Text, plan: PlanFor) -> None:
        said = text(talk.hands(stopping(plan(), 2)))
        assert said == "The hands hold: Left hand. Middle, light. Index, dark. Right hand. Ring, middle, index, light."

    def test_speed(self, text: Text) -> None:
        assert text(talk.speed(-1, False)) == "A little less speed."
        assert text(talk.speed(1, False)) == "A little more speed."
        assert text(talk.speed(-1, True)) == "This is the lowest speed."
        assert text(talk.speed(1, True)) == "This is the highest speed."


class TestReport:
    @pytest.mark.parametrize(
        ("began", "prompted", "words"),
        [
            (0, 2, "You made one move. Well braided. Goodbye."),
            (0, 6, "You made five moves. Well braided. Goodbye."),
            (0, 7, "You made one cycle. Well braided. Goodbye."),
            (0, 8, "You made one cycle and one move. Well braided. Goodbye."),
            (0, 124, "You made twenty cycles and three moves. Well braided. Goodbye."),
            (7, 14, "You made one cycle and one move, in all two cycles. Well braided. Goodbye."),
            (2, 4, "You made two moves. Well braided. Goodbye."),
            (0, 0, "Well braided. Goodbye."),
            (0, 1, "Well braided. Goodbye."),
            (9, 9, "Your place is kept. Well braided. Goodbye."),
            (9, 5, "Your place is kept. Well braided. Goodbye."),
        ],
    )
    def test_it_counts_what_was_made_and_never_nothing(
        self, text: Text, plan: PlanFor, began: int, prompted: int, words: str
    ) -> None:
        assert text(talk.report(stopping(plan(), prompted, began))) == words


class TestPhrasesExist:
    def test_every_phrase_that_is_named_in_the_code_has_words(self, book: Phrasebook) -> None:
        folder = Path(practice.__path__[0])
        named = {key for path in folder.glob("*.py") for key in named_phrases(path.read_text(encoding="utf-8"))}
        assert len(named) > 30
        assert not named - set(book.phrases)

    def test_the_look_for_named_phrases_finds_them(self) -> None:
        source = 'phrases("a", *(("b",) if x else ()))\nPhrase("c")\nPhrase(f"x{y}")\namount(1, "d", "e")\nother("f")'
        assert set(named_phrases(source)) == {"a", "b", "c", "one_d", "e"}


def named_phrases(source: str) -> Iterator[str]:
    """Keys that a source text hands to Phrase, phrases or amount, literally; composed ones are test_wording's.

    amount's nouns are those of one thing, of which there is a phrase with the number, and of several.
    """
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") in ("Phrase", "phrases", "amount"):
            one_thing = node.args[1:2] if getattr(node.func, "id", "") == "amount" else []
            for argument in node.args:
                composed = {
                    id(piece) for made in ast.walk(argument) if isinstance(made, ast.JoinedStr) for piece in made.values
                }
                for inner in ast.walk(argument):
                    if isinstance(inner, ast.Constant) and isinstance(inner.value, str) and id(inner) not in composed:
                        yield f"one_{inner.value}" if argument in one_thing else inner.value


@pytest.mark.parametrize("name", NAMES)
class TestShippedRecipesAsSound:
    def test_no_move_takes_longer_to_say_than_to_make(
        self, spoken: Callable[[Prompt], Utterance], plan: PlanFor, name: str
    ) -> None:
        for first in step_by_step(plan(name)):
            said = spoken(talk.move(plan(name), first))
            assert said.silent == ()
            longest = LONGEST_MOVE_S if plan(name).recipe.braiders == 1 else LONGEST_CALL_S
            assert 0.2 < said.seconds <= longest, said.text

    def test_everything_around_the_moves_has_its_clips(
        self, spoken: Callable[[Prompt], Utterance], plan: PlanFor, shipped: dict[str, Recipe], name: str
    ) -> None:
        # The words for colours are the same on every cord: all colourways of one, the first of the others.
        for colourway in shipped[name].colourways[: None if name == "five-loop-square" else 1]:
            for prompt in all_talk(plan(name, colourway.name)):
                assert spoken(prompt).silent == ()

    def test_the_beginning_takes_less_than_forty_seconds(
        self, spoken: Callable[[Prompt], Utterance], plan: PlanFor, shipped: dict[str, Recipe], name: str
    ) -> None:
        for colourway in shipped[name].colourways:
            state = begin(plan(name, colourway.name))
            for first in (talk.greeting(state), talk.from_the_start(state)):
                prompts = [first, *talk.loading(state)]
                seconds = sum(spoken(prompt).seconds + BETWEEN_PROMPTS_S for prompt in prompts)
                assert 10 < seconds < LONGEST_BEGINNING_S


def step_by_step(plan: Plan) -> Iterator[int]:
    """The first move of each step of a cycle."""
    position = Position()
    while position.prompted < plan.moves:
        yield position.prompted + 1
        position = steps.forward(plan, position)


def all_talk(plan: Plan) -> Iterator[Prompt]:
    """Everything that may be said in two repeats of a cord."""
    state = begin(plan)
    yield from (talk.greeting(state), talk.from_the_start(state), *talk.loading(state))
    yield from (talk.ALL_DONE, talk.NOTHING_TO_UNDO, talk.RESTING, talk.GOING_ON, talk.STOP_HERE)
    yield from (talk.AS_BEFORE, talk.HEARD_BADLY)
    yield from (talk.speed(change, limit) for change in (-1, 1) for limit in (False, True))
    for prompted in range(0, 2 * plan.cycles_in_repeat * plan.moves + 1, 3):
        state = stopping(plan, prompted, began=prompted // 2)
        yield from (*talk.where(state), talk.offer(state), talk.report(state), talk.count(state))
        yield from talk.repeated(state)
    yield from (talk.undo(plan, number) for number in range(1, 2 * plan.moves + 1))
    for first in step_by_step(plan):
        moves = len(steps.made_together(plan, first))
        yield from (talk.apart(plan, first), talk.undo(plan, first + moves - 1, moves))
        state = replace(state, position=Position(first + moves - 1, under_way=moves))
        for level in Level:
            yield cue_talk.cue(replace(state, coaching=pinned(beginner(plan.moves), level)))
    for cycles in range(2 * plan.cycles_in_repeat):
        yield cue_talk.in_force(replace(state, position=Position(cycles * plan.moves).forward(plan.moves)))
    yield from (*cue_talk.PINNED.values(), cue_talk.AS_NEEDED, cue_talk.ONE_A_CYCLE, cue_talk.UNDO_CYCLE)
    yield cue_talk.CYCLE_BEGAN


def test_all_talk_means_all_that_the_sequencer_says() -> None:
    """Whoever adds a word to talk.py adds it here, so that its clip is asked for."""
    source = Path(__file__).read_text(encoding="utf-8")
    said = [name for name, value in vars(talk).items() if _is_said(name, value)]
    assert len(said) > 15
    assert not [name for name in said if f"talk.{name}" not in source]


def _is_said(name: str, value: Any) -> bool:
    if isinstance(value, Prompt):
        return name not in ("GO_FROM_THERE", "GOODBYE")  # said as parts of the offer and of the report
    return callable(value) and getattr(value, "__module__", "") == talk.__name__
