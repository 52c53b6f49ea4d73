"""What is said around the moves of a lesson."""

from __future__ import annotations

from companion.practice.group_wording import Row, call, together
from companion.practice.lesson import Lesson, Rating
from companion.practice.parts import Kind, Part
from companion.practice.prompt import Number, Phrase, Prompt
from companion.practice.wording import STOP, amount, phrases

GREETING = phrases("lesson_greeting")
ONCE_MORE = phrases("lesson_once_more")
GOODBYE = phrases("goodbye")


def part_name(lesson: Lesson, part: Part) -> Prompt:
    """What a part is called: "Left hand." """
    if part.kind is Kind.EXCHANGE:
        return phrases("lesson_exchange")
    braiders = lesson.recipe.braiders
    if braiders == 1:
        return phrases(f"hand_{part.side.value}")
    hands = part.hands or ((part.side, part.braider),)
    named = [Row(frozenset({who}), Prompt((call(who), Phrase(f"hand_{side.value}")))) for side, who in hands]
    return together(named, braiders)


def title(lesson: Lesson) -> Prompt:
    """The present stage: "Part one of three. Left hand.", or what is being joined."""
    focus = lesson.stage.focus
    if focus.kind is not Kind.JOINED:
        number = lesson.parts.index(focus) + 1
        counted = (Phrase("lesson_part"), Number(number), Phrase("of"), Number(len(lesson.parts)), STOP)
        return Prompt(counted) + part_name(lesson, focus)
    if focus.last == lesson.parts[-1].last:
        return phrases("lesson_whole")
    return phrases("lesson_together")


def place(lesson: Lesson, move: int, moves: int) -> Prompt:
    """The stage, and the move to come among its moves."""
    return title(lesson) + Prompt((Phrase("move"), Number(move), Phrase("of"), Number(moves), STOP))


def stage_begins(lesson: Lesson) -> Prompt:
    """The words before the first move of a stage."""
    if lesson.stage.anew:
        return phrases("lesson_comes_round") + title(lesson)
    return title(lesson) + phrases("lesson_slowly")


def round_ended(lesson: Lesson) -> Prompt:
    """The words between two rounds of a stage."""
    if not lesson.steady:
        return ONCE_MORE
    return Prompt((Phrase("lesson_steady"), Number(lesson.steady), Phrase("of"), Number(lesson.stage.rounds), STOP))


def learnt(lesson: Lesson, rounds: int) -> Prompt:
    """The end: the whole cycle went well so many times."""
    return phrases("lesson_learnt") + amount(rounds, "time", "times") + phrases("stop") + GOODBYE


def report(lesson: Lesson, rated: dict[str, Rating]) -> Prompt:
    """The end before all is learnt: the parts that were steady."""
    steady = [part for part in lesson.parts if lesson.tally(part).steady]
    if not steady:
        return GOODBYE
    said = phrases("lesson_so_far")
    for part in steady:
        said += part_name(lesson, part)
    return said + GOODBYE
