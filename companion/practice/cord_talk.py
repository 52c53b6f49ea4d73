"""What is said of a long cord: how far it is, what was measured, rests, and the sum at the end."""

from __future__ import annotations

from companion.practice import progress
from companion.practice.goal import Measure
from companion.practice.measuring import Range
from companion.practice.pace_talk import amount_of, bare
from companion.practice.progress import ONE_LEFT, REACHED, Left
from companion.practice.prompt import SILENCE, Number, Phrase, Prompt
from companion.practice.state import State
from companion.practice.wording import amount, phrases

HOW_MANY_CENTIMETRES = phrases("how_many_centimetres")
MEASURE_FIRST = phrases("measure_first")
MEASURE_FORGOTTEN = phrases("measure_forgotten")
WITHOUT_MEASURE = phrases("without_measure")
COUNT_STAYS = phrases("count_stays", "lengthen_loops")
ANNOUNCED = {
    "quarter": phrases("quarter_made"),
    "half": phrases("half_made"),
    "three quarters": phrases("three_quarters_made"),
    ONE_LEFT: phrases("one_cycle_left"),
    REACHED: phrases("length_reached"),
    progress.MEASURE_FIRST: MEASURE_FIRST,
}
OBJECTIONS = {
    "none_yet": phrases("measure_none_yet"),
    "nothing": phrases("measure_nothing"),
    "shorter": phrases("measure_shorter"),
    "impossible": phrases("measure_impossible"),
}
WIDE = 1.25
"""A range whose upper end is more than so many times its lower one is said with both ends."""
ONE_AND_LESS = 0.95
"""From so many cycles in a centimetre on, the rate is said in cycles a centimetre, below in centimetres a cycle."""


def cycles_made(state: State) -> float:
    """Cycles behind the hands; part of one counts."""
    return state.position.made / state.plan.moves


def how_far(state: State) -> tuple[Prompt, ...]:
    """The whole answer to "how far": what is made, how long it is, what remains and how long that takes."""
    return (_made(state), *_length(state), *_remaining(state))


def _made(state: State) -> Prompt:
    made, goal = int(cycles_made(state)), state.cord.goal
    cycles = 0 if goal is None else goal.cycles(state.plan.cycles_in_repeat)
    if not made:
        return phrases("nothing_made")
    if cycles:
        # No more is said to be made of a goal than there is of it.
        return _made_of(min(made, cycles), cycles)
    return amount(made, "cycle", "cycles") + phrases("is_made" if made == 1 else "are_made")


def _made_of(made: int, cycles: int) -> Prompt:
    """ "Three of ten cycles are made." Languages differ in where the noun stands, and in what goes with one."""
    if cycles == 1:
        return phrases("the_one_cycle_is_made")
    if made == 1:
        return Prompt((Phrase("one_of_cycles"), Number(cycles), Phrase("one_of_cycles_is_made")))
    return Prompt((Number(made), Phrase("of_cycles"), Number(cycles), Phrase("of_cycles_are_made")))


def _length(state: State) -> tuple[Prompt, ...]:
    length = state.cord.length_cm(cycles_made(state))
    if length is None or length.likely < 1:
        return ()
    said = phrases("it_is", "about") + amount(round(length.likely), "centimetre", "centimetres")
    goal = state.cord.goal
    if goal is not None and goal.measure is Measure.LENGTH:
        goal_said = amount_of(goal.amount, "centimetre", "centimetres")
        return (said + phrases("in_length", "stop"), phrases("goal_is") + goal_said + phrases("stop"))
    return (said + phrases("in_length", "stop"),)


def _remaining(state: State) -> tuple[Prompt, ...]:
    if state.cord.goal is None:
        return ()
    left = progress.left(state.cord, cycles_made(state), state.plan.cycles_in_repeat)
    return (MEASURE_FIRST,) if left is None else (remaining(left),)


def remaining(left: Left) -> Prompt:
    """The cycles that remain, and how long they take where that is known."""
    low, likely, high = (_up(value) for value in (left.cycles.low, left.cycles.likely, left.cycles.high))
    if not likely:
        return phrases("goal_reached")
    if high > WIDE * low and high - low > 1:
        cycles, remain = _span(low, high, "cycle", "cycles"), "remain"
    else:
        about = SILENCE if low == high else phrases("about")
        cycles, remain = about + amount(likely, "cycle", "cycles"), "remains" if likely == 1 else "remain"
    time = SILENCE if left.seconds is None else phrases("comma") + time_range(left.seconds)
    return phrases(f"{remain}_first") + cycles + phrases(remain) + time + phrases("stop")


def _span(low: int, high: int, one: str, many: str) -> Prompt:
    """From a whole number to a higher one with their noun; one has its noun by itself."""
    begins = amount(1, one, many) if low == 1 else Prompt((Number(low),))
    return phrases("from") + begins + phrases("to") + amount(high, one, many)


def _up(cycles: float) -> int:
    """Cycles that are begun have to be made."""
    return -int(-round(cycles, 6) // 1)


def time_range(seconds: Range) -> Prompt:
    """A time that is foretold: "about forty minutes", "thirty to forty-five minutes"."""
    low, likely, high = (rounded_minutes(value) for value in (seconds.low, seconds.likely, seconds.high))
    if high > WIDE * low and low < high:
        if high < 60:
            return _span(low, high, "minute", "minutes")
        if low % 60 == 0 and high % 60 == 0:
            return _span(low // 60, high // 60, "hour", "hours")
        return phrases("from") + minutes(low) + phrases("to") + minutes(high)
    return phrases("about") + minutes(likely)


def rounded_minutes(seconds: float) -> int:
    """Minutes, as exact as a foretelling can be: to one, from ten on to five, from two hours on to fifteen."""
    exact = seconds / 60
    step = 1 if exact < 10 else 5 if exact < 120 else 15
    return max(round(exact / step) * step, 1)


def minutes(number: int) -> Prompt:
    """A time in hours and minutes, 1 minute or more."""
    hours, rest = divmod(number, 60)
    said = amount(hours, "hour", "hours") if hours else SILENCE
    if rest:
        said += (phrases("and") if hours else SILENCE) + amount(rest, "minute", "minutes")
    return said


def measured(state: State, centimetres: float) -> tuple[Prompt, ...]:
    """What was measured, what it says of the cycles, and what remains."""
    said = amount_of(centimetres, "centimetre", "centimetres")
    per_cm = state.cord.per_cm(cycles_made(state))
    said += phrases("stop") if per_cm is None else phrases("colon") + rate(per_cm) + phrases("stop")
    return (said, *_remaining(state))


def rate(per_cm: Range) -> Prompt:
    """Cycles a centimetre, or where a cycle is longer than that, centimetres a cycle; both ends of a wide range."""
    if per_cm.likely >= ONE_AND_LESS:
        return _range(per_cm, "cycle", "cycles") + phrases("a_centimetre")
    a_cycle = Range(1 / per_cm.high, 1 / per_cm.likely, 1 / per_cm.low)
    return _range(a_cycle, "centimetre", "centimetres") + phrases("a_cycle")


def _range(value: Range, one: str, many: str) -> Prompt:
    if round(value.low) == round(value.high):
        return phrases("about") + amount(round(value.likely), one, many)
    if value.high <= WIDE * value.low:
        return phrases("about") + amount_of(value.likely, one, many)
    low, high = round(value.low, 1), round(value.high, 1)
    if low >= 3:
        return _span(round(low), round(high), one, many)
    begins = amount(1, one, many) if low == 1 else bare(low)
    return phrases("from") + begins + phrases("to") + amount_of(high, one, many)


def rest(minutes_braided: int, caution: bool) -> Prompt:
    """That the hands should rest, with the sitting's caution where it is due."""
    said = phrases("you_have_braided_for") + minutes(max(minutes_braided, 1)) + phrases("stop", "rest_your_hands")
    return said + phrases("caution_rest", "caution_numb") if caution else said


CAUTION = phrases("caution_rest", "caution_numb")


def sum_of_all(state: State) -> Prompt:
    """For the end: the time at the loops in all sittings, and the length by her ruler, as far as they are known."""
    said = SILENCE
    seconds = state.cord.seconds + state.hours.unwritten_s
    if seconds >= 60:
        said += phrases("time_in_all") + minutes(round(seconds / 60)) + phrases("stop")
    cycles = cycles_made(state)
    length = state.cord.length_cm(cycles) if state.cord.measured else None
    if length is not None and length.likely >= 1:
        said += phrases("by_your_ruler", "about") + amount(round(length.likely), "centimetre", "centimetres")
        said += phrases("stop")
    return said
