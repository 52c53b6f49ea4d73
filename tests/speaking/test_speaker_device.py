"""The loudspeaker on a real device: a private PulseAudio server, reached through PortAudio as any sound card is."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

pytestmark = pytest.mark.slow

DEVICE_RATE = 16_000
SERVER = """
load-module module-native-protocol-unix socket={socket} auth-anonymous=1
load-module module-null-sink sink_name=speaker rate=16000 channels=1 norewinds=1
set-default-sink speaker
"""
# Without norewinds playback stalls; with shared memory the server may abort.
OPTIONS = [
    "--disable-shm=yes",
    "--enable-memfd=no",
    "--exit-idle-time=-1",
    "--use-pid-file=no",
    "--realtime=no",
    "--high-priority=no",
    "--daemonize=no",
    "-n",
    "-F",
]

BEGIN = """
import sys, time
import numpy as np
from companion.speaking.speaker import SpeakerPlayer
began = time.monotonic()
player = SpeakerPlayer()
print("open", time.monotonic() - began, flush=True)
note = (0.5 * np.sin(2 * np.pi * 440 * np.arange(24000) / 24000)).astype(np.float32)
"""


@pytest.fixture
def server(tmp_path: Path) -> Iterator[dict[str, str]]:
    """A PulseAudio server of this test's own; what it yields is the environment of its clients."""
    run = tmp_path / "pulse"
    run.mkdir(mode=0o700)
    start = run / "start.pa"
    start.write_text(SERVER.format(socket=run / "socket"))
    own = os.environ | {"XDG_RUNTIME_DIR": str(run), "HOME": str(run)}
    with (run / "log").open("wb") as log:
        process = subprocess.Popen(["pulseaudio", *OPTIONS, str(start)], env=own, stdout=log, stderr=log)
    client = own | {"PULSE_SERVER": f"unix:{run / 'socket'}"}
    try:
        for _ in range(100):
            asked = subprocess.run(["pactl", "list", "short", "sinks"], env=client, capture_output=True, check=False)
            if asked.returncode == 0:
                break
            time.sleep(0.1)
        else:
            pytest.fail((run / "log").read_text())
        yield client
    finally:
        process.send_signal(signal.SIGTERM)
        process.wait(timeout=10)


Program = Callable[[str], subprocess.Popen[str]]


@pytest.fixture
def program(server: dict[str, str]) -> Program:
    """Runs a program of the companion's on the server's device."""

    def run(text: str) -> subprocess.Popen[str]:
        # In its own process: PortAudio looks for devices once, when it is loaded.
        command = [sys.executable, "-c", BEGIN + text]
        return subprocess.Popen(command, env=server, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)

    return run


def test_a_sound_is_heard_whole_and_a_stopped_one_ends(
    server: dict[str, str], program: Program, tmp_path: Path
) -> None:
    # Into a file: a pipe that nobody reads meanwhile holds two seconds and then stops the recorder.
    recorded = tmp_path / "heard.raw"
    record = ["parec", "--device=speaker.monitor", "--raw", "--format=s16le", "--rate=16000", "--channels=1"]
    with recorded.open("wb") as file, subprocess.Popen(record, env=server, stdout=file) as recorder:
        time.sleep(0.3)
        speaking = program(
            "began = time.monotonic()\n"
            "player.play(note)\n"
            "while player.playing: time.sleep(0.005)\n"
            "print('took', time.monotonic() - began)\n"
            "time.sleep(0.4)\n"
            "player.play(note)\n"
            "while player.position < 0.4: time.sleep(0.005)\n"
            "player.stop()\ntime.sleep(0.6)\nplayer.close()\n"
        )
        told, errors = speaking.communicate(timeout=60)
        recorder.terminate()
    heard = np.fromfile(recorded, np.int16).astype(np.float32) / 32768
    assert errors == ""
    took = float(told.split()[-1])
    assert 1.0 <= took < 2.5
    sounding = np.flatnonzero(np.abs(heard) > 0.02)
    parts = np.split(sounding, np.flatnonzero(np.diff(sounding) > DEVICE_RATE // 10) + 1)
    seconds = [(part[-1] - part[0]) / DEVICE_RATE for part in parts]
    assert len(seconds) == 2
    assert seconds[0] == pytest.approx(1.0, abs=0.02)
    assert 0.2 < seconds[1] < 0.7
    whole = heard[parts[0][0] : parts[0][0] + DEVICE_RATE]
    assert float(np.abs(np.fft.rfft(whole)).argmax()) == pytest.approx(440, abs=2)
    assert float(np.sqrt(np.mean(whole**2))) == pytest.approx(0.5 / np.sqrt(2), rel=0.02)


def test_an_unplugged_device_is_noticed_and_closing_does_not_hang(server: dict[str, str], program: Program) -> None:
    speaking = program(
        "player.play(np.tile(note, 30))\n"
        "while player.alive: time.sleep(0.02)\n"
        "print('lost', player.playing, flush=True)\n"
        "player.play(note)\nprint('plays', player.playing)\n"
        "began = time.monotonic()\nplayer.close()\nprint(time.monotonic() - began < 2)\n"
    )
    assert speaking.stdout is not None
    assert speaking.stdout.readline().startswith("open")
    time.sleep(0.5)
    subprocess.run(["pactl", "unload-module", "module-null-sink"], env=server, check=True)
    told, _ = speaking.communicate(timeout=30)
    assert told.splitlines() == [
        "lost False",
        "plays False",
        "True",
    ]
