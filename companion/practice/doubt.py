"""When what was heard is to be doubted: a "next" to ask about, a "back" for a move that can't have been made yet,
and words that are so often unclear that help is due. The edge supplies facts of the sound; all is decided here.
"""

from __future__ import annotations

from companion.practice.commands import Command
from companion.practice.events import Heard, Unsure
from companion.practice.state import Phase, State

TOO_SOON_S = 0.5
"""No hands make a move so soon after the session has moved on: it is one word heard twice, or a slip."""
AGREES_WITHIN_S = 2.0
"""Of several braiders a second one says "next" too so soon after the first: that is the same "next". (No source; people
answer each other within a few tenths of a second, and nobody makes the moves of a step in so short a time.)"""
LEAST_ABOVE_BACKGROUND_DB = 18.0
"""A word whose loudest moment stands out by less may be the background itself. Measured with four machine voices in
pink noise: of what was understood as "next" this asks about none of 28 at 10 dB, 7 of 16 at 7 dB, 13 of 15 at 5 dB and
9 of 9 at 2 dB."""
ANSWER_WITHIN_S = 4.0
"""A doubtful "next" that nobody confirms for so long after the question is dropped."""
UNMADE_FOR_S = 1.0
"""A move is taken for unmade until so long after the end of its prompt."""
SHORTEST_WORD_S = 0.2
"""What is shorter and resembles no wording is a clack or a knock, and no word that was missed."""
UNSURE_TIMES, UNSURE_WITHIN_S = 3, 60.0
"""Help is due after so many guesses in so many seconds,"""
HELP_REST_S = 600.0
"""and not again for so long."""

AT_THE_LOOPS = (Phase.LOADING, Phase.BRAIDING)
"""Where she is listened to for the next move. While resting people talk; a question of the session's is answered."""
MEANT, NOT_MEANT = (Command.NEXT, Command.YES), (Command.NO, Command.BACK)
"""The answers to the question about a doubtful "next"."""


def agrees(state: State, heard: Heard) -> bool:
    """Whether this "next" is another braider's to the step that has just been called: nothing is done or asked.

    As long as the step is still being said nobody can have made it. Keys and pedals are always believed, and so is
    whoever braids alone.
    """
    if state.plan.recipe.braiders == 1 or heard.sound is None or heard.command is not Command.NEXT:
        return False
    if state.doubting or state.phase is not Phase.BRAIDING:
        return False
    step = state.before_next
    called = step is not None and (not step.said or heard.sound.after_next_s < AGREES_WITHIN_S)
    return called or heard.sound.after_next_s < TOO_SOON_S


def is_doubtful(state: State, heard: Heard) -> bool:
    """Whether this "next" is to be asked about first. Keys and pedals are never doubted."""
    if heard.sound is None or heard.command is not Command.NEXT or state.phase not in AT_THE_LOOPS:
        return False
    return heard.sound.after_next_s < TOO_SOON_S or heard.sound.above_background_db < LEAST_ABOVE_BACKGROUND_DB


def withdraws_unmade(state: State, heard: Heard) -> bool:
    """Whether this withdraws a move that the hands can't have made: its prompt has only just been said, or not yet.

    How long ago it was said is known of spoken words alone; a key comes in time for as long as the prompt sounds.
    """
    if state.before_next is None or heard.command not in (Command.BACK, Command.NO):
        return False
    in_time = heard.sound is not None and heard.sound.after_words_s < UNMADE_FOR_S
    return in_time or not state.before_next.said


def is_worth_showing(unsure: Unsure) -> bool:
    """Whether she may have said it to the program, and should see that it was not understood."""
    return unsure.guess != "" or unsure.lasted_s >= SHORTEST_WORD_S


def unsure_lately(state: State, unsure: Unsure) -> tuple[float, ...]:
    """When something was nearly understood, this with it: as many as count. What resembles no wording is talk."""
    if state.phase not in AT_THE_LOOPS or not unsure.guess:
        return state.unsure_at_s
    lately = [at_s for at_s in state.unsure_at_s if unsure.at_s - at_s <= UNSURE_WITHIN_S]
    return (*lately, unsure.at_s)[-UNSURE_TIMES:]


def help_is_due(state: State, at_s: float) -> bool:
    """Whether so much was unclear lately that a word of help is worth the interruption."""
    often = len(state.unsure_at_s) == UNSURE_TIMES
    return often and not state.doubting and at_s - state.helped_at_s >= HELP_REST_S
