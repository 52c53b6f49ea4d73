"""Laws of moves, on random hands and random moves: what is done can be undone, and no loop is lost or passes unseen."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from companion.loops.hands import Hands, HeldLoop
from companion.loops.moves import Cross, apply, inverse, make, plan
from companion.recipe.model import Action, Exchange, Pass, Passing, Shift, Take, Tighten, Turn, Turned
from companion.recipe.places import Hold, Place, lateral_order

TURNS = st.sampled_from(Turned)


@st.composite
def some_hands(draw: st.DrawFn) -> Hands:
    """Hands of one or two braiders with at least two loops, some of them with the other shank up."""
    places = lateral_order(draw(st.sampled_from(Hold)), draw(st.integers(1, 2)))
    held = sorted(draw(st.sets(st.sampled_from(range(len(places))), min_size=2)))
    numbers = draw(st.permutations(range(len(held))))
    return Hands(
        places, tuple(HeldLoop(n, places[at], draw(st.booleans())) for n, at in zip(numbers, held, strict=True))
    )


def between(hands: Hands, start: Place, goal: Place) -> list[Place]:
    """The loaded places that lie strictly between two places, and the goal where it is loaded."""
    low, high = sorted((hands.lateral(start), hands.lateral(goal)))
    on_the_way = [held.place for held in hands.loops if low < hands.lateral(held.place) < high]
    return [*on_the_way, *(held.place for held in hands.on(goal))]


def crowded(hands: Hands) -> Place | None:
    """The place that holds two loops, if there is one."""
    return next((held.place for held in hands.loops if len(hands.on(held.place)) == 2), None)


@st.composite
def a_carry(draw: st.DrawFn, hands: Hands) -> Action:
    """A take or a pass: any loop to any other finger, past all loops in its way, each in some way."""
    full = crowded(hands)
    start = full or draw(st.sampled_from([held.place for held in hands.loops]))
    # A loop that leaves a finger with two goes to an empty one; the one it leaves behind may lie in its way.
    goals = [place for place in hands.places if place != start and not (full and hands.on(place))]
    goal = draw(st.sampled_from(goals))
    passed = between(hands, start, goal)
    if full and draw(st.booleans()):
        passed.append(full)
    kind = draw(st.sampled_from([Take, Pass]))
    how = [draw(st.sampled_from(Passing if kind is Take else [Passing.OVER, Passing.UNDER])) for _ in passed]
    ways = {way: tuple(p for p, h in zip(passed, how, strict=True) if h is way) for way in Passing}
    turned = draw(TURNS)
    if kind is Take:
        return Take(start, goal, ways[Passing.INSIDE], ways[Passing.OVER], ways[Passing.UNDER], turned)
    return Pass(start, goal, ways[Passing.OVER], ways[Passing.UNDER], turned)


@st.composite
def an_exchange(draw: st.DrawFn, hands: Hands) -> Action:
    left = draw(st.integers(0, len(hands.loops) - 2))
    mover, other = draw(st.permutations([hands.loops[left].place, hands.loops[left + 1].place]))
    return Exchange(mover, other, draw(st.sampled_from(Passing)), draw(TURNS), draw(TURNS))


@st.composite
def a_turn(draw: st.DrawFn, hands: Hands) -> Action:
    place = draw(st.sampled_from([held.place for held in hands.loops]))
    return Turn(place, draw(st.sampled_from([Turned.INWARD, Turned.OUTWARD])))


def free_steps(hands: Hands) -> list[tuple[Place, Place]]:
    """Every single step of a shift: to an empty finger of the same hand, with no loop between."""
    return [
        (start, to)
        for start in dict.fromkeys(held.place for held in hands.loops)
        for to in hands.places
        if (to.side, to.braider) == (start.side, start.braider) and to != start
        if not hands.on(to) and not between(hands, start, to)
    ]


@st.composite
def a_shift(draw: st.DrawFn, hands: Hands) -> Action:
    """Up to four steps, each possible after the ones before it; a finger with two loops is freed first."""
    full = crowded(hands)
    steps: list[tuple[Place, Place]] = []
    for _ in range(draw(st.integers(1, 4))):
        free = [step for step in free_steps(hands) if steps or full in (None, step[0])]
        if not free:
            break
        steps.append(draw(st.sampled_from(free)))
        hands = make(Shift((steps[-1],)), hands)
    return Shift(tuple(steps)) if steps else draw(a_carry(hands))


@st.composite
def a_move(draw: st.DrawFn, hands: Hands) -> Action:
    """A move that these hands can make."""
    if crowded(hands):
        return draw(st.one_of(a_carry(hands), a_shift(hands)))
    kinds = [a_carry(hands), an_exchange(hands), a_turn(hands), a_shift(hands), st.just(Tighten())]
    return draw(st.one_of(kinds))


@st.composite
def hands_and_moves(draw: st.DrawFn, most: int = 6) -> tuple[Hands, list[Action]]:
    """Random hands and a row of moves that they can make one after the other."""
    start = hands = draw(some_hands())
    moves: list[Action] = []
    for _ in range(draw(st.integers(1, most))):
        moves.append(draw(a_move(hands)))
        hands = make(moves[-1], hands)
    return start, moves


def states(start: Hands, moves: list[Action]) -> list[Hands]:
    """The hands before the first move, and after each."""
    found = [start]
    for move in moves:
        found.append(make(move, found[-1]))
    return found


@given(hands_and_moves())
def test_every_move_can_be_undone(case):
    start, moves = case
    before = states(start, moves)
    hands = before[-1]
    for number in reversed(range(len(moves))):
        hands = make(inverse(moves[number], before[number]), hands, undoing=True)
        assert hands == before[number]


@given(hands_and_moves())
def test_the_inverse_of_the_inverse_is_the_move_itself(case):
    start, moves = case
    for move, before in zip(moves, states(start, moves), strict=False):
        back = inverse(move, before)
        assert inverse(back, make(move, before), undoing=True) == move


@given(hands_and_moves())
def test_a_move_and_its_inverse_cross_the_same_loops_in_the_other_order(case):
    """Undone, the same loop is the mover and passes the same loops in the same way."""
    start, moves = case
    for move, before in zip(moves, states(start, moves), strict=False):
        there = crossings(move, before)
        back = crossings(inverse(move, before), make(move, before), undoing=True)
        assert back == there[::-1]


def crossings(move: Action, hands: Hands, undoing: bool = False) -> list[tuple[int, int, Passing]]:
    """Which loop passes which, and how, in the order of the move."""
    found = []
    for step in plan(move, hands, undoing):
        if isinstance(step, Cross):
            pair = hands.loops[step.left].loop, hands.loops[step.left + 1].loop
            found.append((*(pair if step.mover_is_left else pair[::-1]), step.passing))
        hands = apply(step, hands)
    return found


@given(hands_and_moves())
def test_loops_always_lie_in_lateral_order(case):
    for hands in states(*case):
        numbers = [hands.lateral(held.place) for held in hands.loops]
        assert numbers == sorted(numbers)


@given(hands_and_moves())
def test_every_loop_is_kept_exactly_once(case):
    start, moves = case
    for hands in states(start, moves):
        assert sorted(held.loop for held in hands.loops) == list(range(len(start.loops)))
        assert hands.places == start.places


@given(hands_and_moves())
def test_a_finger_holds_two_loops_at_most_and_only_one_finger_does(case):
    for hands in states(*case):
        counts = sorted(len(hands.on(place)) for place in {held.place for held in hands.loops})
        assert set(counts[:-1]) <= {1}
        assert counts[-1] <= 2


@given(st.data())
def test_a_shift_keeps_the_order_of_the_loops_and_which_shank_is_up(data):
    hands = data.draw(some_hands())
    after = make(data.draw(a_shift(hands).filter(lambda move: isinstance(move, Shift))), hands)
    assert [(held.loop, held.flipped) for held in after.loops] == [(held.loop, held.flipped) for held in hands.loops]


@given(st.data())
def test_a_carry_moves_one_loop_and_keeps_the_order_of_the_others(data):
    hands = data.draw(some_hands())
    move = data.draw(a_carry(hands))
    start, goal = (move.take, move.by) if isinstance(move, Take) else (move.loop, move.to)
    after = make(move, hands)
    (carried,) = hands.on(start)
    assert carried.loop in [held.loop for held in after.on(goal)]
    assert [held for held in after.loops if held.loop != carried.loop] == [
        held for held in hands.loops if held.loop != carried.loop
    ]


@given(st.data())
def test_only_a_turned_move_turns_a_loop_and_it_turns_the_one_that_moves(data):
    hands = data.draw(some_hands())
    move = data.draw(a_carry(hands))
    start = move.take if isinstance(move, Take) else move.loop
    after = {held.loop: held.flipped for held in make(move, hands).loops}
    turned = {held.loop for held in hands.loops if after[held.loop] != held.flipped}
    assert turned == ({hands.on(start)[0].loop} if move.turned is not Turned.UNTURNED else set())


@given(st.data())
def test_two_half_turns_bring_the_shanks_back(data):
    hands = data.draw(some_hands())
    turn = data.draw(a_turn(hands))
    assert make(turn, hands) != hands
    assert make(turn, make(turn, hands)) == hands


@given(st.data())
def test_an_exchange_swaps_two_loops_and_touches_no_other(data):
    hands = data.draw(some_hands())
    move = data.draw(an_exchange(hands))
    after = make(move, hands)
    assert after.on(move.mover)[0].loop == hands.on(move.other)[0].loop
    assert after.on(move.other)[0].loop == hands.on(move.mover)[0].loop
    others = [held for held in hands.loops if held.place not in (move.mover, move.other)]
    assert [held for held in after.loops if held.place not in (move.mover, move.other)] == others
