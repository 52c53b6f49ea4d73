"""Lost and found with everything around it: keys, journal, screen."""

from __future__ import annotations

from session_room import Room

from companion.practice.commands import Command
from companion.practice.events import Answered, Begun
from companion.practice.finding import where_it_stands
from companion.practice.position import Position
from companion.practice.search import Ask
from companion.practice.state import Phase


def press(room: Room, *commands: Command) -> None:
    for command in commands:
        room.keys.put(command)
        for _ in range(3):
            room.session.turn()


def test_the_place_is_lost_in_the_third_cycle_found_and_kept_in_the_journal() -> None:
    """She missed two moves: the hands are two further than was counted."""
    room = Room(ear=False)
    room.session.tell(Begun())
    press(room, *[Command.NEXT] * 15, Command.LOST)
    hands = room.session.state.plan.hands(16)
    colourway = room.session.state.plan.colourway
    while room.session.state.phase is Phase.FINDING:
        standing = where_it_stands(room.session.state)
        assert standing is not None and isinstance(standing.step, Ask)
        held = hands.on(standing.step.place)
        room.session.tell(Answered(held[0].colours(colourway).upper if held else "empty"))
    assert room.of("disk")[-1] == ("disk", "found", Position(17, under_way=True))
    press(room, Command.NEXT, Command.NEXT)
    assert [what for what in room.of("disk") if what[1] == "next"][-1] == ("disk", "next", Position(19, under_way=True))
    assert room.session.state.plan.hands(16) == hands


def test_a_dropped_loop_is_on_disk_and_the_move_stays() -> None:
    room = Room(ear=False)
    room.session.tell(Begun())
    press(room, Command.NEXT, Command.NEXT, Command.DROPPED)
    room.session.tell(Answered("left index"))
    press(room, Command.CARRY_ON)
    assert [what[1:] for what in room.of("disk")[-3:]] == [
        ("dropped", Position(2, under_way=True)),
        ("dropped", Position(2, under_way=True)),
        ("carry on", Position(2, under_way=True)),
    ]
