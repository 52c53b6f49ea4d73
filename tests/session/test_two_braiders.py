"""Two braiders at one microphone: a short session from a sound file to a sound file, in this process.

One braider is flite's voice "slt", the other its "rms".
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soundfile
from session_sounds import Script, write_script

from companion.cli import main
from companion.journal.store import open_journal
from companion.practice.position import Position

PAIR = "ten-loop-open-edge-two-braiders"
STEPS = [
    "Near indexes. Through two. Take little. Turned.",
    "Near hands. Shift three. Inward.",
    "Far indexes. Through two. Take little.",
]
EACH = "One: Right hand. Shift three. Inward. Two: Left hand. Shift three. Inward."
UNDO = "Undo. Far indexes. Through two. To near littles."

Session = Callable[..., list[str]]


@pytest.fixture
def session(home: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> Session:
    """Runs a session of two braiders on a script; the plain lines."""
    monkeypatch.setenv("COMPANION_HOME", str(home / "companion"))

    def run(script: Script, *options: str | Path) -> list[str]:
        arguments = ["practise", PAIR, "--plain", "--brief", "--from-audio", script.path, *options]
        assert main([str(one) for one in arguments]) == 0
        return capfd.readouterr().out.splitlines()

    return run


def of(lines: list[str], kind: str) -> list[str]:
    return [line.removeprefix(f"{kind}: ") for line in lines if line.startswith(f"{kind}: ")]


def fundamental_hz(samples: np.ndarray, rate: int) -> float:
    """The median over the voiced frames of the fundamental, by autocorrelation, between 80 and 320 Hz."""
    length, shortest, longest = rate // 20, rate // 320, rate // 80
    found = []
    for at in range(0, len(samples) - length, length // 2):
        frame = samples[at : at + length] - samples[at : at + length].mean()
        likeness = np.correlate(frame, frame, "full")[length - 1 :]
        period = shortest + int(np.argmax(likeness[shortest:longest]))
        if likeness[0] > 1 and likeness[period] > 0.6 * likeness[0]:
            found.append(rate / period)
    return float(np.median(found))


@pytest.mark.slow
def test_a_session_of_two(session: Session, tmp_path: Path, home: Path) -> None:
    script = write_script(
        tmp_path / "in.wav",
        *(2, "next", 0.3, ("next", "rms"), 6),  # both say it: one step
        *(("next", "rms"), 6),
        *("again", 9),
        *("next", 6, ("back", "rms"), 7),
        *("finish", 5, "yes", 8),
    )
    out = tmp_path / "out.wav"
    lines = session(script, "--to-audio", out)
    assert of(lines, "heard") == ["next", "next", "again", "next", "back", "finish", "yes"]
    assert of(lines, "say")[:5] == [STEPS[0], STEPS[1], EACH, STEPS[2], UNDO]
    assert [line.split(" ")[0] for line in of(lines, "move")] == ["0/10", "1-2/10", "3-4/10", "5-6/10", "4/10"]
    assert of(lines, "own")[2:4] == [
        "one: Right index. Through two. Take little. Turned.",
        "two: Left index. Through two. Take little. Turned.",
    ]
    assert of(lines, "note") == []

    journal = open_journal(home / "companion")
    try:
        kept = journal.last(PAIR)
    finally:
        journal.close()
    assert kept is not None
    assert kept.position == Position(4)

    sound, rate = soundfile.read(out, dtype="float32")
    again_ends_s = script.words[3].ends_s
    answer = sound[round((again_ends_s + 0.7) * rate) : round((again_ends_s + 6) * rate)]
    speech = answer[: np.flatnonzero(np.abs(answer) > 0.01)[-1]]
    one, two = np.array_split(speech, 2)
    lower = 12 * np.log2(fundamental_hz(one, rate) / fundamental_hz(two, rate))
    assert lower == pytest.approx(3, abs=1.2), "the one's voice lies three semitones above the other's"


@pytest.mark.slow
def test_they_are_called_by_their_names_and_go_on_where_they_stopped(session: Session, tmp_path: Path) -> None:
    first = write_script(tmp_path / "first.wav", 2, "next", 6, ("next", "rms"), 5)
    assert of(session(first, "--braiders", "Ann,Bea"), "say") == STEPS[:2]
    second = write_script(tmp_path / "second.wav", 9, ("yes", "rms"), 7, "again", 8, "next", 5)
    lines = session(second, "--braiders", "Ann,Bea")
    assert of(lines, "say") == [
        "Last time you stopped at cycle one of five, repeat one, move three of ten. Shall we go from there?",
        "Going on.",
        STEPS[1],
        EACH.replace("One", "Ann").replace("Two", "Bea"),
        STEPS[2],
    ]
