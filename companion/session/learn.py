"""Gives a lesson on a recipe, and keeps when its parts are to be practised again."""

from __future__ import annotations

from argparse import Namespace
from datetime import datetime

from companion import library
from companion.journal.rows import LESSON
from companion.practice.learning import begin
from companion.practice.lesson import Lesson, Rating, planned, ratings
from companion.practice.parts import teachable_parts
from companion.practice.position import Position
from companion.practice.review import ReviewError, due, reviewed
from companion.practice.state import Plan
from companion.recipe.model import Recipe
from companion.session import braider_names, colourway_choice, setting
from companion.session.conduct import LESSON as GIVEN
from companion.session.cord_choice import rest_every
from companion.session.keeper import Keeper, now
from companion.session.language import Language
from companion.session.pace_choice import pace_choice
from companion.session.practise import chosen_name, language_and_ear, on_screen, open_world, prepared_or_told, run
from companion.session.today import CARD, day_word, part_name
from companion.session.usage import DONE
from companion.session.worlds import World


def learn(options: Namespace) -> int:
    """Give a lesson; the exit status: 0 done, 1 fault of a recipe or file, 2 usage."""
    notes: list[str] = []
    keeper = Keeper(setting.data(), notes.append)

    def prepare() -> tuple[Recipe, Plan, Language, World]:
        recipe = library.load(chosen_name(options, keeper))
        language = language_and_ear(options, keeper, notes)
        colourway = colourway_choice.colourway(recipe, options.colourway)
        plan = Plan(
            colourway_choice.with_fills(recipe, colourway),
            colourway,
            **vars(pace_choice(options, recipe, keeper, notes)),
            rest_every_min=rest_every(options, keeper),
            brief=options.brief,
            names=braider_names.braiders(recipe, options.braiders, language.words),
        )
        return recipe, plan, language, open_world(options)

    prepared = prepared_or_told(prepare)
    if isinstance(prepared, int):
        return prepared
    recipe, plan, language, world = prepared
    cards = {} if options.fresh else _cards(keeper, recipe, notes)
    to_practise = frozenset(key for key, card in cards.items() if due(card) <= now())
    lesson = planned(plan.recipe, frozenset(cards), to_practise, options.rounds)
    keeper.begin(recipe, plan.colourway.name, None, Position(), LESSON)
    try:
        session = run(options, begin(lesson, plan), GIVEN, plan, world, language, keeper, notes)
        rated = ratings(session.state.lesson)
        dates = _keep(keeper, cards, rated)
        if session.ended is not None:
            _tell(session.state.lesson, rated, dates, plain=not on_screen(options))
        return DONE
    finally:
        world.close()
        keeper.close()


def _cards(keeper: Keeper, recipe: Recipe, notes: list[str]) -> dict[str, str]:
    """What is kept of the recipe's parts and can be read, by their keys."""
    parts = {part.key for part in teachable_parts(recipe)}
    cards = {}
    for key, card in keeper.kept(recipe, CARD).items():
        try:
            due(card)
        except ReviewError as error:
            notes.append(f"Of the part with moves {key}, {error}; it is learnt anew.")
        else:
            if key in parts:
                cards[key] = card
    return cards


def _keep(keeper: Keeper, cards: dict[str, str], rated: dict[str, Rating]) -> dict[str, datetime]:
    """Keep how the parts went; when each is to be practised again."""
    dates = {}
    for key, rating in rated.items():
        card = reviewed(cards.get(key), rating, now())
        keeper.record("rated", Position(), f"{key} {rating.name.lower()}")
        keeper.keep(CARD, key, card)
        dates[key] = due(card)
    return dates


def _tell(lesson: Lesson, rated: dict[str, Rating], dates: dict[str, datetime], *, plain: bool) -> None:
    """One line for each part that was rated."""
    for part in lesson.parts:
        if part.key in rated:
            when = day_word(dates[part.key])
            line = f"{part_name(part, lesson.recipe)}: {WORDS[rated[part.key]]}; to be practised {when}."
            print(f"note: {line}" if plain else line)


WORDS = {Rating.AGAIN: "not steady yet", Rating.HARD: "hard", Rating.GOOD: "good", Rating.EASY: "easy"}
