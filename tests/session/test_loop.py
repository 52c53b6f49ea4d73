"""The event loop between a real sequencer and devices made of plain values: what is done, and in which order."""

from __future__ import annotations

import numpy as np
import pytest
from session_room import PROMPT_S, WORD_S, Room

from companion.display.key_table import KeySignal
from companion.practice.commands import Command
from companion.practice.events import Ending
from companion.practice.position import Position
from companion.practice.prompt import Prompt
from companion.practice.state import Pace
from companion.session.ears import LoadedEar, NoEar
from companion.session.loop import EAR_OPENS_AFTER_S
from companion.session.worlds import Devices
from companion.speaking.player import PlayerFault, SilentPlayer

NEXT = Command.NEXT


def test_a_move_is_on_disk_before_it_is_shown_and_before_its_prompt_sounds():
    room = Room({1.0: NEXT}, lasts_s=4)
    room.session.run()
    heard = room.happened.index(("heard", "next"))
    after = [what[0] for what in room.happened[heard:]]
    on_disk = after.index("disk")
    assert room.happened[heard + on_disk] == ("disk", "next", Position(1, under_way=True))
    assert on_disk < after.index("view") < after.index("said")
    sounds = [number for number, kind in enumerate(after) if kind == "sound"]
    assert sounds[0] < on_disk < sounds[1], "the confirming sound may come before; the prompt comes after"


def test_the_confirming_sound_is_short_and_comes_first():
    room = Room({1.0: NEXT}, lasts_s=4)
    room.session.run()
    (_, first_s), (_, second_s) = room.of("sound")
    assert first_s < 0.25
    assert second_s == pytest.approx(PROMPT_S + 0.25)


def test_the_ear_is_closed_while_the_prompt_sounds_and_a_moment_longer():
    spoken_until_s = 1.0 + 0.18 + PROMPT_S + 0.25
    opens_s = spoken_until_s + EAR_OPENS_AFTER_S
    room = Room({1.0: NEXT, 2.0: NEXT, 2.5: NEXT, round(opens_s + 0.12, 2): NEXT}, lasts_s=8)
    room.session.run()
    assert room.commands == ["next", "next"]
    first_deaf_s, *_, last_deaf_s = (at for at in room.ear.deaf_at if at < opens_s + 0.1)
    assert first_deaf_s == pytest.approx(1.05)
    assert last_deaf_s == pytest.approx(opens_s, abs=0.1)


def test_the_ear_s_state_is_shown():
    room = Room({1.0: NEXT}, lasts_s=5)
    room.session.run()
    states = list(dict.fromkeys(room.shown.ears))
    assert states == ["open", "closed"]
    assert room.shown.ears[-1] == "open"
    quiet = Room(lasts_s=1, ear=False)
    quiet.session.run()
    assert set(quiet.shown.ears) == {"off"}


def test_two_words_in_one_block_are_one_command():
    room = Room({1.0: (NEXT, NEXT)}, lasts_s=3)
    room.session.run()
    assert room.commands == ["next"]
    assert room.ear.closed == 1


def test_what_was_no_command_is_shown_and_changes_nothing():
    room = Room({1.0: "necks"}, lasts_s=2)
    room.session.run()
    assert room.of("unsure") == [("unsure", "necks")]
    assert room.of("sound") == []


def test_a_key_cuts_the_prompt_short():
    room = Room(lasts_s=30)
    room.keys.put(NEXT)
    room.session.run(lambda: press_second_at(room, 0.5))
    hushes = [number for number, what in enumerate(room.happened) if what[0] == "hush"]
    assert len(hushes) == 2
    moves = [position.prompted for _, kind, position in room.of("disk") if kind == "next"]
    assert moves == [1, 2]
    assert room.world.now() < 5


def press_second_at(room, at_s):
    """Press next once more at a time, and stop a second later."""
    if room.world.now() == at_s:
        room.keys.put(NEXT)
    return room.world.now() > at_s + 1


def test_a_fault_of_a_device_is_noted_once_and_goes_to_the_journal():
    room = Room(lasts_s=2)
    room.world.told.append("The microphone has gone.")
    room.session.run()
    assert room.shown.notes == ["The microphone has gone."]
    assert [kind for _, kind, _ in room.of("disk")].count("fault") == 1


def test_a_voice_that_fails_is_noted_and_the_move_is_made():
    room = Room({1.0: NEXT}, lasts_s=3)
    room.voice.faults = ("No speech engine was found.",)
    room.session.run()
    assert room.shown.notes == ["No speech engine was found."]
    assert room.session.state.position.prompted == 1


def test_an_ear_that_fails_is_given_up_and_the_keys_work_on():
    room = Room(lasts_s=3)
    room.ear.fails = True
    room.keys.put(NEXT)
    room.session.run()
    (note,) = room.shown.notes
    assert "decoder lost" in note
    assert "keys" in note
    assert room.commands == ["next"]
    assert room.shown.ears[-1] == "off"


def test_an_ear_that_can_t_be_opened_is_noted_once():
    def broken():
        raise RuntimeError("model in pieces")

    room = Room(lasts_s=1)
    room.session._ears = LoadedEar(broken).wait()
    room.keys.put(NEXT)
    room.session.run()
    (note,) = room.shown.notes
    assert "model in pieces" in note
    assert room.commands == ["next"]


def test_in_timed_pace_the_time_runs_from_beat_to_beat():
    room = Room({1.0: NEXT}, lasts_s=20, pace=Pace.TIMED, seconds_per_move=2.0)
    room.session.run()
    on_disk = [kind for _, kind, _ in room.of("disk")].count("next")
    assert on_disk == 1 + (20 - (1.0 - WORD_S)) // 2.0
    assert room.commands == ["next"]


def test_the_beat_leaves_time_for_the_move_after_a_word_in_between():
    again = {1.0: NEXT, **{1.0 + 2.7 * times: Command.AGAIN for times in range(1, 6)}}
    room = Room({round(at, 2): what for at, what in again.items()}, lasts_s=15, pace=Pace.TIMED, seconds_per_move=4.0)
    room.session.run()
    assert room.commands.count("again") >= 4
    assert [kind for _, kind, _ in room.of("disk")].count("next") == 1


def test_resting_stops_the_time():
    room = Room({1.0: NEXT, 3.0: Command.PAUSE}, lasts_s=30, pace=Pace.TIMED, seconds_per_move=4.0)
    room.session.run()
    assert [kind for _, kind, _ in room.of("disk")].count("next") == 1


def test_the_speech_gets_slower_and_faster():
    room = Room(lasts_s=2)
    for command in (NEXT, Command.SLOWER, Command.FASTER, Command.FASTER):
        room.keys.put(command)
    room.session.run()
    assert room.voice.speeds == ["normal", "slow", "normal", "fast"]


def test_the_end_of_the_sound_closes_the_session():
    room = Room({1.0: NEXT}, lasts_s=5)
    assert room.session.run() is Ending.CLOSED
    assert room.happened[-1] == ("ended", Ending.CLOSED)
    assert ("disk", "closed", Position(1, under_way=True)) in room.happened


def test_the_last_words_are_heard_to_their_end():
    room = Room({1.0: Command.FINISH}, lasts_s=30)
    room.keys.put(NEXT)
    room.session.run(lambda: answer_yes(room))
    assert room.session.ended is Ending.FINISHED
    assert not room.mouth.speaking


def answer_yes(room):
    """Say yes by key at four seconds."""
    if room.world.now() == 4.0:
        room.keys.put(Command.FINISH)
    if room.world.now() == 5.0:
        room.keys.put(Command.YES)
    return False


def test_ctrl_c_as_a_key_closes_the_session_even_where_an_ear_listens():
    room = Room(lasts_s=30)
    room.keys.put(KeySignal.INTERRUPT)
    assert room.session.run() is Ending.CLOSED
    assert room.world.now() < 1


def test_the_end_of_the_keys_closes_a_session_that_nothing_else_can_move():
    deaf = Room(lasts_s=30, ear=False)
    deaf.keys.put(KeySignal.END)
    assert deaf.session.run() is Ending.CLOSED
    assert deaf.world.now() < 1
    hearing = Room({5.0: NEXT}, lasts_s=8)
    hearing.keys.put(KeySignal.END)
    hearing.session.run()
    assert hearing.commands == ["next"], "with an ear it goes on without keys"


def test_the_end_of_the_keys_is_remembered_while_the_ear_is_loading():
    room = Room(lasts_s=30)
    loading = room.session._ears = LoadingEar()
    room.keys.put(KeySignal.END)
    for _ in range(3):
        room.session.turn()
    assert room.session.ended is None
    loading.loading = False
    room.session.turn()
    assert room.session.ended is Ending.CLOSED


class LoadingEar(NoEar):
    """An ear that is on its way, and never comes."""

    loading = True


class Unplugged:
    """Devices that come and go as a test wants."""

    def __init__(self):
        self.there = True
        self.opened = 0

    def open(self):
        if not self.there:
            raise PlayerFault("No sound: the system has no loudspeaker.")
        self.opened += 1
        return UnpluggedPlayer(self)


class UnpluggedPlayer(SilentPlayer):
    """A player that lives as long as its device is there."""

    def __init__(self, device):
        super().__init__()
        self.device = device

    @property
    def alive(self):
        return self.device.there


class StoppedClock(Devices):
    """Devices on a clock that the test moves on."""

    time_s = 0.0

    def now(self):
        return self.time_s


def test_a_loudspeaker_that_goes_is_told_once_and_tried_again_by_itself():
    device = Unplugged()
    world = StoppedClock(None, device.open, wait=lambda _: None)
    device.there = False
    for world.time_s in np.arange(0, 10, 0.05):
        world.listen(0.05)
    (gone,) = world.faults()
    assert "loudspeaker has gone" in gone
    device.there = True
    for world.time_s in np.arange(10, 14, 0.05):
        world.listen(0.05)
    assert world.faults() == ["The loudspeaker is there again."]
    assert device.opened == 2


def test_a_prompt_without_words_is_silence():
    room = Room(lasts_s=1)
    assert room.mouth.say(Prompt(())) == ""
