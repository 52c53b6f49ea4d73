"""A lesson being given: the sequencer goes through one stage after another, and the lesson watches how it goes.

Each stage is a session of its own over a recipe made of the stage's moves, for the loops as they lie on the fingers
when it begins; so everything that a braider can say while practising works here too.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from companion.practice import answers, lesson_talk, sequencer, talk
from companion.practice.answers import Expected
from companion.practice.commands import Command
from companion.practice.cues import Level, pinned
from companion.practice.doubt import withdraws_unmade
from companion.practice.events import Begun, Effect, End, Ending, Event, Heard, Record, Say, Speed
from companion.practice.glance import glance
from companion.practice.lesson import Lesson, asked_again, made, ratings, round_made, slipped
from companion.practice.move_time import stopped
from companion.practice.parts import as_they_lie
from companion.practice.position import Position
from companion.practice.prompt import SILENCE, Prompt
from companion.practice.state import SPEED_STEPS, Phase, Plan, State
from companion.practice.view import View
from companion.recipe.model import Recipe

BACKWARD = (Command.BACK, Command.NO)
WORDS = (Command.FULL_WORDS, Command.SHORT_WORDS, Command.ONLY_COUNT, Command.YOU_CHOOSE)
"""The commands that settle how much is said of each move."""


@dataclass(frozen=True)
class Learning:
    """A lesson, and the session that goes through its present stage.

    ``chose``: how much she wants to hear of each move; None: as the lesson goes.
    """

    lesson: Lesson
    session: State
    chose: Level | None = None

    @property
    def ended(self) -> bool:
        """Whether the lesson is over."""
        return self.session.phase is Phase.ENDED


def begin(lesson: Lesson, plan: Plan) -> Learning:
    """A lesson before its first event. ``plan``: recipe, colourway, pace and words; its goal and place are left out.

    Raises ValueError where nothing is to be learnt.
    """
    if not lesson.stages:
        raise ValueError("a lesson needs a stage")
    plan = replace(plan, goal_cycles=0, stopped_at=Position())
    moves = _moves(lesson, plan.recipe)
    return Learning(lesson, sequencer.begin(replace(plan, recipe=moves)))


def step(learning: Learning, event: Event) -> tuple[Learning, tuple[Effect, ...]]:
    """The next state and what to do, in this order. Never fails, whatever comes when."""
    before = learning.session
    if before.phase is Phase.ENDED:
        return learning, ()
    after, effects = sequencer.step(before, event)
    if _round_ends(before, after):
        # The words of the move that follows are those of the stage as it stands then: known only now.
        lesson = _judged(learning, event, after, effects)
        before = _worded(before, learning.chose, round_made(lesson))
        after, effects = sequencer.step(before, event)
    if isinstance(event, Heard) and event.command in WORDS:
        chose = None if event.command is Command.YOU_CHOOSE else after.coaching.pinned
        learning = replace(learning, chose=chose)
        after = _worded(after, chose, learning.lesson)
    lesson = _judged(learning, event, after, effects)
    learning = replace(learning, lesson=lesson, session=after)
    if isinstance(event, Begun):
        return learning, _after_first_words(effects, lesson_talk.GREETING)
    if after.phase is Phase.ENDED:
        return _ended(learning, effects)
    if before.phase is Phase.LOADING and after.phase is Phase.BRAIDING:
        return learning, (*_slow(learning), *_before_the_move(effects, lesson_talk.stage_begins(lesson), SILENCE))
    if _round_ends(before, after):
        return _go_round(learning, effects, talk.count(before))
    if any(isinstance(effect, Record) and effect.kind == "where am I" for effect in effects):
        effects = _with_place(learning, effects)
    return learning, _at_its_speed(learning, effects)


def _with_place(learning: Learning, effects: tuple[Effect, ...]) -> tuple[Effect, ...]:
    """The answer to "where am I": the place in the lesson instead of that in a cord."""
    at = next((number for number, effect in enumerate(effects) if isinstance(effect, Say)), len(effects))
    plan, to_come = learning.session.plan, learning.session.position.to_come
    place = lesson_talk.place(learning.lesson, (to_come - 1) % plan.moves + 1, plan.moves)
    return (*effects[:at], Say(place), *effects[at + 1 :])


def view(learning: Learning) -> View:
    """The lesson at a glance: the stage's session, with the stage's name."""
    shown = replace(glance(learning.session), cord=None)  # a practice cord of parts is no cord to be looked at
    lesson = learning.lesson
    if not lesson.stages:
        return shown
    return replace(shown, stage=lesson_talk.title(lesson), steady=lesson.steady, rounds=lesson.stage.rounds)


def expected(learning: Learning) -> Expected:
    """The answers that would mean something: those of the stage's session."""
    return answers.expected(learning.session)


def _moves(lesson: Lesson, recipe: Recipe) -> Recipe:
    """The moves that a stage goes round over: its own where they can be made by themselves, else the whole cycle."""
    focus = lesson.stage.focus
    if not focus.by_itself:
        return recipe
    return replace(recipe, cycle=recipe.cycle[focus.first - 1 : focus.last])


def _worded(session: State, chose: Level | None, lesson: Lesson) -> State:
    """The session with as much said of each move as she chose; else full words while it is shown, then short ones."""
    fitting = Level.FULL if lesson.slowly else Level.SHORT
    return replace(session, coaching=pinned(session.coaching, chose or fitting))


def _number(learning: Learning, move: int) -> int:
    """The move of the recipe's cycle that a move of the stage's session is, both from 1."""
    moves = learning.session.plan.moves
    first = learning.lesson.stage.focus.first if learning.lesson.stage.focus.by_itself else 1
    return first + (move - 1) % moves


def _judged(learning: Learning, event: Event, after: State, effects: tuple[Effect, ...]) -> Lesson:
    """What the event says about how the moves go."""
    before, lesson = learning.session, learning.lesson
    if not isinstance(event, Heard) or before.phase is not Phase.BRAIDING:
        return lesson
    kinds = {effect.kind for effect in effects if isinstance(effect, Record)}
    if "next" in kinds or "completed" in kinds:
        seconds = stopped(before.move_time, event.at_s).took_s
        for move in range(before.position.made + 1, after.position.made + 1):
            lesson = made(lesson, _number(learning, move), seconds)
    elif "back" in kinds and event.command in BACKWARD and not withdraws_unmade(before, event):
        for move in range(after.position.prompted + 1, before.position.prompted + 1):
            lesson = slipped(lesson, _number(learning, move))
    elif "again" in kinds:
        lesson = asked_again(lesson, _number(learning, before.position.to_come))
    return lesson


def _round_ends(before: State, after: State) -> bool:
    if before.phase is not Phase.BRAIDING:
        return False  # a place that was found is no round that was made
    was, now = before.position, after.position
    return now.made > was.made and now.made % after.plan.moves == 0 and after.phase is Phase.BRAIDING


def _go_round(learning: Learning, effects: tuple[Effect, ...], count: Prompt) -> tuple[Learning, tuple[Effect, ...]]:
    """A round is complete: another one, another stage, or the end. ``count``: what a practice would say instead."""
    was = learning.lesson
    lesson = round_made(was)
    learning = replace(learning, lesson=lesson)
    if not lesson.stages:
        return _all_learnt(learning, was, effects)
    if lesson.stages == was.stages:
        return learning, (*_slow(learning), *_before_the_move(effects, lesson_talk.round_ended(lesson), count))
    session = _next_stage(learning)
    learning = replace(learning, session=session)
    kept = [effect for effect in effects if not isinstance(effect, Say | Record)]
    record = Record("next", session.position, lesson.stage.focus.key)
    remarks = [effect for effect in effects if isinstance(effect, Say) and effect.prompt != count][:-1]
    said = (*remarks, Say(lesson_talk.stage_begins(lesson)), *(Say(prompt) for prompt in session.last))
    return learning, (*kept[:2], record, *kept[2:], *_slow(learning), *said)


def _next_stage(learning: Learning) -> State:
    """A session for the stage that begins: over its moves, with the loops as they lie now."""
    session, lesson = learning.session, learning.lesson
    plan = session.plan
    lies = as_they_lie(lesson.recipe, plan.hands(session.position.made), plan.colourway)
    begun = sequencer.begin(replace(plan, recipe=_moves(lesson, lies), colourway=lies.colourways[0]))
    begun = replace(
        begun,
        phase=Phase.LOADING,
        speed=session.speed,
        waits=session.waits,
        helped_at_s=session.helped_at_s,
        at_s=session.at_s,
        pacing=session.pacing,
        hours=session.hours,
    )
    begun = _worded(begun, learning.chose, lesson)
    # The first move is prompted as it is after loading.
    begun, _ = sequencer.step(begun, Heard(Command.NEXT))
    return replace(begun, before_next=None)


def _all_learnt(learning: Learning, was: Lesson, effects: tuple[Effect, ...]) -> tuple[Learning, tuple[Effect, ...]]:
    session = replace(
        learning.session, phase=Phase.ENDED, position=Position(learning.session.position.made), before_next=None
    )
    kept = [effect for effect in effects if not isinstance(effect, Say | Record)]
    record = Record("completed", session.position, was.stage.focus.key)
    said = Say(lesson_talk.learnt(learning.lesson, was.stage.rounds))
    return replace(learning, session=session), (*kept[:2], record, *kept[2:], said, End(Ending.COMPLETED))


def _ended(learning: Learning, effects: tuple[Effect, ...]) -> tuple[Learning, tuple[Effect, ...]]:
    """Ended by the braider: she hears which parts were steady."""
    if not any(isinstance(effect, Say) for effect in effects):
        return learning, effects
    report = Say(lesson_talk.report(learning.lesson, ratings(learning.lesson)))
    silent = [effect for effect in effects if not isinstance(effect, Say)]
    at = next((number for number, effect in enumerate(silent) if isinstance(effect, End)), len(silent))
    return learning, (*silent[:at], report, *silent[at:])


def _before_the_move(effects: tuple[Effect, ...], words: Prompt, count: Prompt) -> tuple[Effect, ...]:
    """The effects with these words before the move's prompt, in place of the count; a word about resting stays."""
    rest = [effect for effect in effects if not (isinstance(effect, Say) and effect.prompt == count)]
    said = [number for number, effect in enumerate(rest) if isinstance(effect, Say)]
    at = said[-1] if said else len(rest)
    return (*rest[:at], Say(words), *rest[at:])


def _after_first_words(effects: tuple[Effect, ...], words: Prompt) -> tuple[Effect, ...]:
    at = next((number for number, effect in enumerate(effects) if isinstance(effect, Say)), len(effects))
    return (*effects[: at + 1], Say(words), *effects[at + 1 :])


def _slow(learning: Learning) -> tuple[Speed, ...]:
    """How fast to speak from here on: a step slower while a stage is being shown."""
    return (Speed(_speed(learning, learning.session.speed)),)


def _at_its_speed(learning: Learning, effects: tuple[Effect, ...]) -> tuple[Effect, ...]:
    return tuple(Speed(_speed(learning, effect.step)) if isinstance(effect, Speed) else effect for effect in effects)


def _speed(learning: Learning, speed: int) -> int:
    return max(speed - learning.lesson.slowly, SPEED_STEPS[0])
