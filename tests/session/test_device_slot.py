"""A place for a device: what is noticed, what is told, and that each thing is told once.

The sound server's answers are made up here; test_devices_come_and_go.py has a real one.
"""

from __future__ import annotations

import sys
import threading
import time
from dataclasses import dataclass, field
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.session.device_slot import PROBATION_S, RETRY_S, LoudspeakerSlot, MicrophoneSlot
from companion.session.sound_server import Place, Seen, SoundServer
from companion.session.workshop import Workshop

DESK = Place("desk", "Desk microphone")
HEADSET = Place("headset", "Headset")
SPEAKER = Place("speaker", "Speakers")
OTHER_SPEAKER = Place("television", "Television")
NO_SPEAKER = Place("auto_null", "Dummy Output")
OF_SPEAKER = Place("speaker.monitor", "Monitor of Speakers", monitor_of="speaker")
OF_OTHER = Place("television.monitor", "Monitor of Television", monitor_of="television")
OF_NO_SPEAKER = Place("auto_null.monitor", "Monitor of Dummy Output", monitor_of="auto_null")

MICROPHONE_GONE, MICROPHONE_BACK = MicrophoneSlot.gone, "The microphone is there again."
SPEAKER_GONE, SPEAKER_BACK = LoudspeakerSlot.gone, "The loudspeaker is there again."


class Thing:
    """A device that is open until it is lost or closed."""

    def __init__(self) -> None:
        self.alive = True

    def close(self) -> None:
        self.alive = False


class ToldServer(SoundServer):
    """Answers what a test says."""

    answer: Seen | None = None

    @property
    def seen(self) -> Seen | None:
        return self.answer


@dataclass
class Desk:
    """A slot, the world around it, and a clock that the test moves on."""

    kind: type[MicrophoneSlot | LoudspeakerSlot]
    fault: str = ""
    opened: list[Thing] = field(default_factory=list)
    told: list[str] = field(default_factory=list)
    now_s: float = 0.0

    def __post_init__(self) -> None:
        self.server = ToldServer()
        self.workshop = Workshop()
        self.slot = self.kind(self.open, self.workshop, self.server)
        self.slot.open(self.now_s, 2.0)
        self.pass_s(0.0)

    def open(self) -> Thing:
        if self.fault:
            raise RuntimeError(self.fault)
        self.opened.append(Thing())
        return self.opened[-1]

    def see(self, *devices: Place, at: Place | None, sink: Place | None = SPEAKER, source: Place | None = DESK) -> None:
        """The server is asked now: these devices there are, and `at` is where the slot's stream is."""
        if self.kind is MicrophoneSlot:
            source = at
        else:
            sink = at
        self.server.answer = Seen(time.monotonic(), devices, devices, source, sink)

    def pass_s(self, seconds: float) -> None:
        """Time goes by in the steps of the session's loop."""
        until_s = self.now_s + seconds
        while True:
            self.slot.attend(self.now_s)
            self.told += self.slot.told
            self.slot.told.clear()
            if self.now_s >= until_s:
                return
            self.now_s += 0.05

    def told_in(self, seconds: float) -> list[str]:
        """What is told within some seconds from now."""
        self.told.clear()
        self.pass_s(seconds)
        return list(self.told)


@pytest.fixture
def microphone() -> Desk:
    """A microphone at the desk."""
    desk = Desk(MicrophoneSlot)
    desk.see(DESK, OF_SPEAKER, at=DESK)
    desk.pass_s(0.1)
    return desk


@pytest.fixture
def speaker() -> Desk:
    """A loudspeaker at its place."""
    desk = Desk(LoudspeakerSlot)
    desk.see(SPEAKER, at=SPEAKER)
    desk.pass_s(0.1)
    return desk


class TestMicrophone:
    def test_one_that_works_is_no_news(self, microphone: Desk) -> None:
        assert microphone.told_in(60) == []
        assert microphone.slot.place == DESK

    @pytest.mark.parametrize("monitor", [OF_SPEAKER, OF_OTHER, OF_NO_SPEAKER])
    def test_a_stream_moved_to_what_a_loudspeaker_plays_is_a_microphone_lost(
        self, microphone: Desk, monitor: Place
    ) -> None:
        microphone.see(monitor, at=monitor)
        assert microphone.told_in(0.1) == [MICROPHONE_GONE]
        assert microphone.slot.device is None
        microphone.see(monitor, at=None)
        assert microphone.told_in(60) == []
        assert len(microphone.opened) == 1, "the server has nothing better, so it isn't even tried"

    def test_it_is_back_when_its_stream_is_where_it_was(self, microphone: Desk) -> None:
        microphone.see(OF_SPEAKER, at=OF_SPEAKER)
        microphone.pass_s(5)
        microphone.see(DESK, OF_SPEAKER, at=None)
        microphone.pass_s(PROBATION_S / 2)
        assert microphone.slot.device is None, "on probation until the server has been asked"
        microphone.see(DESK, OF_SPEAKER, at=DESK)
        assert microphone.told_in(0.1) == [MICROPHONE_BACK]
        assert microphone.slot.device is microphone.opened[-1]

    def test_one_that_comes_back_at_the_wrong_place_is_given_up_again_without_a_word(self, microphone: Desk) -> None:
        microphone.see(OF_SPEAKER, at=OF_SPEAKER)
        microphone.pass_s(5)
        microphone.see(HEADSET, OF_SPEAKER, at=None)
        microphone.pass_s(PROBATION_S / 2)
        microphone.see(HEADSET, OF_SPEAKER, at=OF_SPEAKER)
        assert microphone.told_in(0.2) == []
        assert microphone.slot.device is None
        microphone.workshop.leave()
        assert not microphone.opened[1].alive, "and closed"

    def test_another_microphone_in_its_place_is_followed_and_named(self, microphone: Desk) -> None:
        microphone.see(HEADSET, OF_SPEAKER, at=HEADSET)
        assert microphone.told_in(30) == ['The microphone is now "Headset".']
        assert len(microphone.opened) == 1, "the stream goes on"

    def test_another_default_is_followed_even_to_a_monitor_while_the_old_one_is_there(self, microphone: Desk) -> None:
        microphone.see(DESK, OF_SPEAKER, OF_OTHER, at=OF_OTHER)
        assert microphone.told_in(30) == ['The microphone is now "Monitor of Television".']

    def test_the_loudspeaker_s_own_sound_never_is_a_microphone(self) -> None:
        desk = Desk(MicrophoneSlot)
        desk.see(OF_SPEAKER, at=OF_SPEAKER)
        assert desk.told_in(5) == [MicrophoneSlot.absent]

    def test_what_the_server_said_before_it_was_opened_does_not_count(self) -> None:
        desk = Desk(MicrophoneSlot)
        desk.server.answer = Seen(0.0, (OF_SPEAKER,), (SPEAKER,), OF_SPEAKER, SPEAKER)
        assert desk.told_in(5) == []

    def test_without_a_sound_server_a_dead_one_is_lost_and_an_open_one_is_back(self) -> None:
        desk = Desk(MicrophoneSlot)
        desk.fault = "There is no microphone."
        desk.opened[0].alive = False
        assert desk.told_in(60) == [MICROPHONE_GONE], "what the attempts came to is not told as well"
        desk.fault = ""
        assert desk.told_in(RETRY_S + PROBATION_S + 0.2) == [MICROPHONE_BACK]

    def test_one_that_has_nothing_to_do_with_the_server_is_tried_whatever_the_server_has(self) -> None:
        desk = Desk(MicrophoneSlot)
        desk.see(OF_SPEAKER, at=None)
        desk.opened[0].alive = False
        assert desk.told_in(RETRY_S + PROBATION_S + 0.2) == [MICROPHONE_GONE, MICROPHONE_BACK]

    def test_one_that_never_was_there_is_told_in_the_words_of_its_fault(self) -> None:
        desk = Desk(MicrophoneSlot, fault="There is no microphone called 'bandstand'.")
        desk.pass_s(60)
        assert desk.told == ["There is no microphone called 'bandstand'."]


class TestLoudspeaker:
    def test_another_one_in_its_place_is_followed_and_named(self, speaker: Desk) -> None:
        speaker.see(OTHER_SPEAKER, at=OTHER_SPEAKER)
        assert speaker.told_in(30) == ['The loudspeaker is now "Television".']

    def test_one_that_the_server_made_up_is_none(self, speaker: Desk) -> None:
        speaker.see(NO_SPEAKER, at=NO_SPEAKER)
        assert speaker.told_in(30) == [SPEAKER_GONE]
        nobody = Desk(LoudspeakerSlot)
        nobody.see(NO_SPEAKER, at=NO_SPEAKER)
        assert nobody.told_in(30) == [LoudspeakerSlot.absent]

    def test_one_whose_sound_is_what_the_microphone_hears_is_none(self, speaker: Desk) -> None:
        speaker.see(OTHER_SPEAKER, at=OTHER_SPEAKER, source=OF_OTHER)
        assert speaker.told_in(30) == [SPEAKER_GONE]


def test_an_opening_that_hangs_holds_nothing_up() -> None:
    answers = threading.Event()
    things: list[Thing] = []

    def open_it() -> Thing:
        answers.wait(20)
        things.append(Thing())
        return things[-1]

    slot = MicrophoneSlot(open_it, Workshop(), ToldServer())
    began_s = time.monotonic()
    slot.open(0.0, 0.05)
    for now_s in range(20):
        slot.attend(float(now_s))
    assert time.monotonic() - began_s < 1
    assert slot.device is None
    answers.set()
    until_s = time.monotonic() + 20
    while slot.device is None and time.monotonic() < until_s:
        slot.attend(30.0)
    assert slot.device is things[0]


def test_what_is_opened_after_the_end_is_closed_again() -> None:
    answers = threading.Event()
    things = [Thing()]

    def open_it() -> Thing:
        answers.wait(20)
        return things[0]

    workshop = Workshop()
    slot = MicrophoneSlot(open_it, workshop, ToldServer())
    slot.open(0.0, 0.0)
    slot.close()
    answers.set()
    workshop.leave()
    assert not things[0].alive


def test_without_pulsectl_nothing_is_known(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "pulsectl", None)
    server = SoundServer()
    server.start()
    server.ask_now()
    time.sleep(0.05)
    assert server.seen is None
    server.close()


HAPPENS = st.sampled_from(["unplug", "plug", "die", "refuse", "allow", "headset", "wait"])


@settings(max_examples=60, deadline=None)
@given(st.lists(HAPPENS, max_size=14))
def test_going_and_coming_are_told_in_turn_whatever_happens(events: list[str]) -> None:
    desk = Desk(MicrophoneSlot)
    place: Place = DESK
    for event in events:
        match event:
            case "unplug":
                place = OF_SPEAKER
            case "plug":
                place = DESK
            case "headset":
                place = HEADSET
            case "die":
                desk.opened[-1].alive = False
            case "refuse":
                desk.fault = "busy"
            case "allow":
                desk.fault = ""
        for _ in range(8):
            desk.see(OF_SPEAKER, place, at=place if desk.opened[-1].alive else None)
            desk.pass_s(0.3)
    lost = [sentence in (MICROPHONE_GONE, MicrophoneSlot.absent) for sentence in desk.told]
    assert (True, True) not in pairwise(lost), "it is told once, until it is back"
    back = [number for number, sentence in enumerate(desk.told) if sentence == MICROPHONE_BACK]
    assert all(number > 0 and lost[number - 1] for number in back)
    desk.workshop.leave()
