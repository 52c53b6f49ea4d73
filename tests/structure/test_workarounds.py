"""Other moves of the hands for the same braid: each is proved, the easiest come first, and none is passed over."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from companion.loops.hand_moves import hand_moves, shifts
from companion.loops.hands import Hands
from companion.loops.moves import make
from companion.recipe.model import Action, Exchange, Passing, Shift, Take, Tighten, Turn, Turned
from companion.recipe.places import Finger, Place, Side
from companion.structure.equality import fingerprint
from companion.structure.garside import normal_form
from companion.structure.word import BraidWord, word_of_move
from companion.structure.workarounds.bare import Rows
from companion.structure.workarounds.ease import ease_of
from companion.structure.workarounds.ground import TooManyWays
from companion.structure.workarounds.report import workarounds
from companion.structure.workarounds.run import Run, fingers_used, in_place, proved
from companion.structure.workarounds.search import Asked, search

LEFT, RIGHT = Place(Side.LEFT, Finger.LITTLE), Place(Side.RIGHT, Finger.LITTLE)
PLAIN = Exchange(LEFT, RIGHT, Passing.INSIDE)
ALL = 100_000
"""More than there are."""


@pytest.fixture
def run(shipped):
    """Some moves of a shipped recipe, counted from 1."""
    return lambda name, first, last: Run(shipped(name), first, last)


@pytest.fixture
def turned_exchange(run):
    """The exchange of the ten-loop cord, both loops turned."""
    return run("ten-loop-open-edge", 9, 9)


def word(hands: Hands, row: tuple[Action, ...]) -> BraidWord:
    """The braid word of moves from these hands."""
    letters: tuple[int, ...] = ()
    for action in row:
        part, hands = word_of_move(action, hands)
        letters += part.letters
    return BraidWord(letters, 2 * len(hands.loops))


def after(hands: Hands, row: tuple[Action, ...]) -> Hands:
    for action in row:
        hands = make(action, hands)
    return hands


def test_the_turned_exchange_can_be_made_plain_with_both_loops_turned_afterwards(turned_exchange):
    report = workarounds(turned_exchange)
    assert report.whole and report.most_moves == 6
    assert (PLAIN, Turn(LEFT, Turned.INWARD), Turn(RIGHT, Turned.INWARD)) in [other.row for other in report.others]
    assert len(report.others) == 10 and report.more


@pytest.mark.parametrize(
    ("name", "first", "last", "moves"),
    [
        ("ten-loop-open-edge", 9, 9, 4),
        ("ten-loop-open-edge", 1, 2, 3),
        ("five-loop-square", 1, 2, 3),
        ("ten-loop-open-edge-two-braiders", 9, 9, 3),
    ],
)
def test_each_leaves_every_loop_as_the_run_does_and_is_the_same_braid_by_its_normal_form(run, name, first, last, moves):
    """F. A. Garside's normal form is reckoned without the fingerprint that the search relies on."""
    one = run(name, first, last)
    report = workarounds(one, most_moves=moves, neighbours=0 if one.recipe.braiders > 1 else 1, limit=30)
    form = normal_form(word(one.hands, one.actions))
    assert report.others
    for other in report.others:
        assert len(other.row) <= moves
        assert after(one.hands, other.row) == after(one.hands, one.actions)
        assert normal_form(word(one.hands, other.row)) == form
        assert other.recipe == in_place(one, other.row)


def test_the_easiest_come_first_and_each_once(turned_exchange):
    report = workarounds(turned_exchange, most_moves=4, limit=40)
    points = [other.ease.points for other in report.others]
    assert points == sorted(points)
    assert len({other.row for other in report.others}) == len(report.others)
    assert turned_exchange.actions not in [other.row for other in report.others]


def test_a_shorter_list_is_the_beginning_of_a_longer_one(turned_exchange):
    short, long = (workarounds(turned_exchange, most_moves=4, limit=limit) for limit in (4, 12))
    points = [[other.ease.points for other in report.others] for report in (short, long)]
    assert points[0] == points[1][:4]


def test_a_take_can_be_made_as_exchanges_of_neighbours(run):
    """It goes through two loops, so it is two exchanges, one inside each."""
    middle, ring, little = (Place(Side.LEFT, finger) for finger in (Finger.MIDDLE, Finger.RING, Finger.LITTLE))
    report = workarounds(run("ten-loop-open-edge", 1, 2), most_moves=2)
    first, second = Exchange(middle, ring, Passing.INSIDE), Exchange(ring, little, Passing.INSIDE)
    assert (replace(first, mover_turned=Turned.INWARD), second) in [other.row for other in report.others]
    assert (first, replace(second, mover_turned=Turned.INWARD)) in [other.row for other in report.others]


def all_rows(run: Run, moves: int, neighbours: int) -> set[tuple[Action, ...]]:
    """All rows of up to so many moves that come to the same, found by trying every one: slow and plain.

    The last move is not tried but undone from the end, which is as complete and quicker.
    """
    ground = search(Asked(run.hands, run.actions, 1, neighbours, fingers_used(run.recipe))).ground

    @cache
    def possible(hands: Hands) -> list[tuple[Action, BraidWord, Hands]]:
        crowded = len({held.place for held in hands.loops}) < len(hands.loops)
        actions = (shifts if crowded else hand_moves)(hands, ground.fingers)
        return [(action, *word_of_move(action, hands)) for action in actions]

    goal, target = after(run.hands, run.actions), word(run.hands, run.actions)
    rows = [((), word(run.hands, ()), run.hands)]
    found: set[tuple[Action, ...]] = set()
    for length in range(1, moves + 1):
        reached: dict[Hands, dict[tuple[int, ...], list[tuple[Action, ...]]]] = {}
        for row, braid, hands in rows:
            reached.setdefault(hands, {}).setdefault(fingerprint(braid), []).append(row)
        for hands, braids in reached.items():
            for action, braid, end in possible(hands):
                if end == goal:
                    needed = fingerprint(target * braid.inverse)
                    found.update((*row, action) for row in braids.get(needed, ()))
        if length < moves:
            rows = [
                ((*row, action), braid * more, end)
                for row, braid, hands in rows
                for action, more, end in possible(hands)
            ]
    return found


@pytest.mark.parametrize(
    ("name", "first", "last", "moves", "neighbours"),
    [
        ("ten-loop-open-edge", 9, 9, 3, 0),
        ("ten-loop-open-edge", 9, 9, 2, 1),
        ("five-loop-square", 1, 2, 2, 0),
        ("ten-loop-open-edge", 1, 2, 2, 0),
    ],
)
def test_none_is_passed_over(run, name, first, last, moves, neighbours):
    """What trying every row finds is found, but for rows with something needless and for another order of moves."""
    one = run(name, first, last)
    found = search(Asked(one.hands, one.actions, moves, neighbours, fingers_used(one.recipe), limit=ALL))
    rows = Rows(found.ground)
    plain = {rows.in_order(row) for row in all_rows(one, moves, neighbours) if rows.bare(row)}
    assert {rows.in_order(row) for row in found.rows} == plain - {rows.in_order(one.actions)}
    assert not found.more and found.complete_to == moves


def test_it_is_told_where_there_is_none(shipped):
    """A plain exchange is no two moves: proved by trying all, and by the search, which says so."""
    recipe = shipped("ten-loop-open-edge")
    cycle = [replace(move, action=PLAIN) if isinstance(move.action, Exchange) else move for move in recipe.cycle]
    one = Run(replace(recipe, cycle=tuple(cycle)), 9, 9)
    report = workarounds(one, most_moves=2, neighbours=0)
    assert report.others == () and not report.more
    assert report.sentence == ("Move 9 of ten-loop-open-edge: there is no other sequence of up to 2 moves for it.")
    rows = all_rows(one, 2, 0)
    assert (PLAIN,) in rows
    assert all(any(isinstance(action, Turn) for action in row) for row in rows - {(PLAIN,)})
    ground = search(Asked(one.hands, one.actions, 1, 0)).ground
    assert not any(Rows(ground).bare(row) for row in rows - {(PLAIN,)})


def test_a_search_that_is_cut_short_says_how_far_it_came(turned_exchange):
    report = workarounds(turned_exchange, budget=1000)
    assert report.complete_to == 2 and not report.whole
    assert report.made <= 1000
    assert "All sequences of up to 2 moves were gone through" in report.searched
    assert "With those of 3 they are more than the 1,000 that may be tried." in report.searched
    cut = workarounds(turned_exchange, budget=10)
    assert cut.sentence == "Move 9 of ten-loop-open-edge: no other sequence was found."


def test_it_tells_how_far_it_is(turned_exchange):
    told = []
    workarounds(turned_exchange, most_moves=3, tell=lambda moves, share: told.append((moves, share)))
    assert told == sorted(told)
    assert [moves for moves, share in told if share == 1.0] == [1, 2, 3]


def test_another_cord_is_never_taken_for_proved(turned_exchange):
    assert proved(turned_exchange, turned_exchange.actions)
    assert not proved(turned_exchange, (PLAIN,))
    assert not proved(turned_exchange, (PLAIN, Turn(LEFT, Turned.OUTWARD), Turn(RIGHT, Turned.OUTWARD)))
    nothing_there = Place(Side.LEFT, Finger.THUMB)
    assert not proved(turned_exchange, (Take(LEFT, nothing_there),))


def test_free_fingers_are_used_only_where_they_may_be(run):
    own = workarounds(run("five-loop-square", 1, 1), most_moves=1, neighbours=0)
    free = workarounds(run("five-loop-square", 1, 1), most_moves=1, neighbours=0, free_fingers=True)
    assert "right thumb" not in own.fingers
    assert "right thumb" in free.fingers and "left little" in free.fingers


def test_moves_that_are_not_there_or_tighten_are_refused(shipped):
    recipe = shipped("ten-loop-open-edge")
    with pytest.raises(ValueError, match="has no move 11; its moves count from 1 to 10"):
        Run(recipe, 11, 11)
    with pytest.raises(ValueError, match="has no moves 3 to 2"):
        Run(recipe, 3, 2)
    with pytest.raises(ValueError, match="Move 10 of ten-loop-open-edge tightens"):
        Run(recipe, 9, 10)
    assert isinstance(recipe.cycle[9].action, Tighten)


def test_what_makes_moves_easy_is_counted(run):
    easy = ease_of(run("ten-loop-open-edge", 1, 2).actions)
    assert (easy.moves, easy.through, easy.turned, easy.ring_or_little, easy.doubled, easy.walked) == (2, 2, 1, 1, 1, 2)
    assert ease_of((PLAIN,)).points < ease_of((PLAIN, Turn(LEFT, Turned.INWARD))).points
    assert ease_of(()).points == 0


def test_a_run_that_only_shifts_has_other_ways_too(run):
    """With a pass over a loop and an exchange back, say; a shift alone is the easiest."""
    one = run("five-loop-square", 2, 2)
    assert isinstance(one.actions[0], Shift)
    report = workarounds(one, most_moves=2)
    assert report.others
    assert all(other.ease.points > report.ease.points for other in report.others)


def test_where_a_search_is_too_much_it_is_done_on_fewer_loops(turned_exchange, monkeypatch):
    monkeypatch.setattr("companion.structure.workarounds.search.MOST_WAYS", 200)
    report = workarounds(turned_exchange, most_moves=3)
    assert report.fingers == ("left little", "right little") and report.whole and report.others


def test_so_many_loops_that_nothing_can_be_searched_are_refused(turned_exchange, monkeypatch):
    monkeypatch.setattr("companion.structure.workarounds.search.MOST_WAYS", 20)
    with pytest.raises(TooManyWays, match="2 loops beside one another are too many to be searched"):
        workarounds(turned_exchange)
