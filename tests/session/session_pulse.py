"""A sound system of the test's own: a private PulseAudio server with two null sinks, "speaker" and "room".

What is played into "room" is what the program's microphone hears; what the program plays comes out of
"speaker". Needs apt's pulseaudio, pulseaudio-utils and libasound2-plugins.
"""

from __future__ import annotations

import os
import subprocess
import time
from collections.abc import Mapping
from pathlib import Path

import numpy as np

RATE_HZ = 16_000
START_S = 30.0
OPTIONS = (
    "-n",
    "--daemonize=no",
    "--disable-shm=yes",
    "--enable-memfd=no",
    "--exit-idle-time=-1",
    "--use-pid-file=no",
    "--realtime=no",
    "--high-priority=no",
)
# Without norewinds playback stalls and is cut short.
SINK = "module-null-sink sink_name={name} rate=16000 channels=1 norewinds=1"
# Bound to one source: a stream of the "default" device would move to another source when its own has gone.
ALSA = """\
pcm.!default {
  type asym
  capture.pcm { type pulse device room.monitor }
  playback.pcm { type pulse device speaker }
}
"""


class SoundSystem:
    """The server, its two devices and the environment in which the program finds them."""

    def __init__(self, folder: Path) -> None:
        folder.mkdir(mode=0o700)
        self._folder = folder
        self._recordings: list[Recording] = []
        self._socket = folder / "socket"
        config, alsa = folder / "pulse.pa", folder / "alsa.conf"
        config.write_text(
            f"load-module module-native-protocol-unix socket={self._socket} auth-anonymous=1\n", encoding="utf-8"
        )
        alsa.write_text(ALSA, encoding="utf-8")
        own = {"XDG_RUNTIME_DIR": str(folder), "HOME": str(folder), "PULSE_SERVER": f"unix:{self._socket}"}
        self.environment: Mapping[str, str] = {
            "PULSE_SERVER": own["PULSE_SERVER"],
            "XDG_RUNTIME_DIR": own["XDG_RUNTIME_DIR"],
            "ALSA_CONFIG_PATH": str(alsa),
        }
        self._env = {**os.environ, **own}
        self._log = (folder / "log").open("wb")
        server_env = {name: value for name, value in self._env.items() if name != "PULSE_SERVER"}
        self._server = subprocess.Popen(
            ("pulseaudio", *OPTIONS, f"--file={config}"), env=server_env, stdout=self._log, stderr=self._log
        )
        self._modules: dict[str, str] = {}
        self._wait_until_it_answers()
        self.plug("speaker")
        self.plug("room")

    def plug(self, name: str) -> None:
        """A device appears."""
        self._modules[name] = self._control("load-module", *SINK.format(name=name).split())
        if name == "room":
            self._control("set-default-source", "room.monitor")
        else:
            self._control("set-default-sink", "speaker")

    def unplug(self, name: str) -> None:
        """A device goes."""
        self._control("unload-module", self._modules.pop(name))

    def play_into_the_room(self, path: Path) -> None:
        """Play a WAV to its end where the program's microphone is."""
        subprocess.run(("paplay", "--device=room", str(path)), env=self._env, check=True, timeout=120)

    def connect_speaker_to_room(self) -> None:
        """What the loudspeaker plays is heard in the room, as through the air."""
        self._control("load-module", "module-loopback", "source=speaker.monitor", "sink=room", "latency_msec=60")

    def record_speaker(self) -> Recording:
        """Record what the program plays, from now on."""
        self._recordings.append(Recording(self._folder / f"recording-{len(self._recordings)}", self._env))
        return self._recordings[-1]

    def streams(self, kind: str) -> int:
        """How many streams of a kind there are: "source-outputs" listen, "sink-inputs" play."""
        return len(self._control("list", "short", kind).splitlines())

    def close(self) -> None:
        """End the server and what still records."""
        for recording in self._recordings:
            recording.end()
        self._server.terminate()
        try:
            self._server.wait(10)
        except subprocess.TimeoutExpired:
            self._server.kill()
            self._server.wait(10)
        self._log.close()

    def _control(self, *command: str) -> str:
        done = subprocess.run(
            ("pactl", *command), env=self._env, capture_output=True, text=True, check=True, timeout=START_S
        )
        return done.stdout.strip()

    def _wait_until_it_answers(self) -> None:
        until = time.monotonic() + START_S
        while True:
            try:
                self._control("info")
                return
            except subprocess.CalledProcessError:
                assert self._server.poll() is None, "the sound server ended; see its log"
                assert time.monotonic() < until, "the sound server doesn't answer"
                time.sleep(0.05)


class Recording:
    """Sound as it comes out of the loudspeaker, from now on: 16 kHz, mono."""

    def __init__(self, raw: Path, env: Mapping[str, str]) -> None:
        self._raw = raw
        command = ("parec", "--device=speaker.monitor", "--raw", "--format=s16le", f"--rate={RATE_HZ}", "--channels=1")
        with raw.open("wb") as file:
            self._recorder = subprocess.Popen((*command, "--latency-msec=50"), env=dict(env), stdout=file)

    @property
    def samples(self) -> np.ndarray:
        """What has come so far, float32."""
        raw = self._raw.read_bytes()
        return np.frombuffer(raw[: len(raw) // 2 * 2], np.int16).astype(np.float32) / 32768

    def end(self) -> np.ndarray:
        """Stop; what has come."""
        self._recorder.terminate()
        self._recorder.wait(30)
        return self.samples
