"""What is told about a microphone that works but is of no use."""

from __future__ import annotations

import numpy as np

from companion.session.microphone_health import MUTED, OVERDRIVEN, SILENT, SOUNDING, MicrophoneHealth

SECOND = 16_000
ROOM = np.round(np.random.default_rng(3).normal(0, 20, SECOND)).astype(np.int16)
NOTHING = np.zeros(SECOND, np.int16)
CUT_OFF = np.where(np.arange(SECOND) % 100 < 50, 32_767, -32_768).astype(np.int16)


def told(*seconds: tuple[np.ndarray | None, bool]) -> list[str]:
    """The sentences about seconds of sound, each with what the system's settings say of muting."""
    health = MicrophoneHealth()
    return [one for block, muted in seconds for one in health.sentences(block, muted, own_voice=False)]


def test_a_good_one_is_no_news():
    assert told(*[(ROOM, False)] * 10) == []


def test_muting_in_the_settings_is_told_at_once_and_silence_is_not_told_as_well():
    assert told((ROOM, False), (NOTHING, True)) == [MUTED]
    assert told((ROOM, False), *[(NOTHING, True)] * 20) == [MUTED]


def test_unmuted_it_delivers_sound_again_when_it_does():
    assert told(*[(NOTHING, True)] * 5, (NOTHING, False)) == [MUTED]
    assert told(*[(NOTHING, True)] * 5, (NOTHING, False), (ROOM, False)) == [MUTED, SOUNDING]


def test_silence_that_nothing_explains_is_told_as_a_question():
    assert told(*[(NOTHING, False)] * 5, (ROOM, False)) == [SILENT, SOUNDING]


def test_a_moment_without_any_block_changes_nothing():
    assert told((NOTHING, False), (None, False), (None, False), (None, False)) == []


def test_overdriving_is_told_once():
    assert told(*[(CUT_OFF, False)] * 5) == [OVERDRIVEN]
