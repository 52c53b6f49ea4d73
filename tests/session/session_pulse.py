"""A sound system of the test's own: a private PulseAudio server with two null sinks, "speaker" and "room".

What is played into "room" is what the program's microphone hears; what the program plays comes out of
"speaker". As every room it has a noise of its own, at -75 dBFS. Needs apt's pulseaudio, pulseaudio-utils and
libasound2-plugins.
"""

from __future__ import annotations

import os
import signal
import subprocess
import threading
import time
from collections.abc import Mapping
from pathlib import Path

import numpy as np

RATE_HZ = 16_000
START_S = 30.0
NOISE_STEPS = 6.0
"""The room's own noise, standard deviation in steps of int16."""
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
SINK = (
    "module-null-sink sink_name={name} rate=16000 channels=1 norewinds=1 "
    "sink_properties=device.description={name}-device"
)
BOUND = """\
pcm.!default {
  type asym
  capture.pcm { type pulse device room.monitor }
  playback.pcm { type pulse device speaker }
}
"""
FOLLOWING = "pcm.!default { type pulse }\n"
"""As most systems have it: the server's default device, whichever that is."""


class SoundSystem:
    """The server, its two devices and the environment in which the program finds them."""

    def __init__(self, folder: Path, starts: bool = True) -> None:
        folder.mkdir(mode=0o700)
        self._folder = folder
        self._recordings: list[Recording] = []
        self._noises: dict[str, Noise] = {}
        self._modules: dict[str, str] = {}
        self._socket = folder / "socket"
        self._config = folder / "pulse.pa"
        self._config.write_text(
            f"load-module module-native-protocol-unix socket={self._socket} auth-anonymous=1\n", encoding="utf-8"
        )
        own = {"XDG_RUNTIME_DIR": str(folder), "HOME": str(folder), "PULSE_SERVER": f"unix:{self._socket}"}
        self._own = {name: own[name] for name in ("PULSE_SERVER", "XDG_RUNTIME_DIR")}
        self._env = {**os.environ, **own}
        self._log = (folder / "log").open("wb")
        self._server: subprocess.Popen[bytes] | None = None
        if starts:
            self.start()

    @property
    def environment(self) -> Mapping[str, str]:
        """For a program whose devices are "room" and "speaker" by name."""
        return self._environment("bound", BOUND)

    @property
    def following_environment(self) -> Mapping[str, str]:
        """For a program that takes the server's default devices."""
        return self._environment("following", FOLLOWING)

    def start(self) -> None:
        """The server begins, with both devices."""
        server_env = {name: value for name, value in self._env.items() if name != "PULSE_SERVER"}
        self._server = subprocess.Popen(
            ("pulseaudio", *OPTIONS, f"--file={self._config}"), env=server_env, stdout=self._log, stderr=self._log
        )
        self._wait_until_it_answers()
        self.plug("speaker")
        self.plug("room")

    def stop(self) -> None:
        """The server ends, and with it all of its devices."""
        for name in list(self._noises):
            self._noises.pop(name).end()
        server, self._server = self._server, None
        if server is None:
            return
        server.send_signal(signal.SIGCONT)
        server.terminate()
        try:
            server.wait(10)
        except subprocess.TimeoutExpired:
            server.kill()
            server.wait(10)
        self._socket.unlink(missing_ok=True)

    def hang(self) -> None:
        """The server answers no more, and gives and takes no sound."""
        assert self._server is not None
        self._server.send_signal(signal.SIGSTOP)

    def go_on(self) -> None:
        """A server that hangs works on."""
        assert self._server is not None
        self._server.send_signal(signal.SIGCONT)

    def plug(self, name: str) -> None:
        """A device appears: "speaker" and every other "...speaker" to play on, others to listen to."""
        self._modules[name] = self._control("load-module", *SINK.format(name=name).split())
        if name == "speaker":
            self._control("set-default-sink", "speaker")
            # Where the room was the default for want of another, its noise has gone along to the new one.
            for room in list(self._noises):
                self.switch_off(room)
                self.switch_on(room)
        if "speaker" not in name:
            self.switch_on(name)
        if name == "room":
            self._control("set-default-source", "room.monitor")

    def unplug(self, name: str) -> None:
        """A device goes."""
        if name in self._noises:
            self._noises.pop(name).end()
        self._control("unload-module", self._modules.pop(name))

    def listen_by_default_to(self, name: str) -> None:
        """The system's settings name another microphone."""
        self._control("set-default-source", f"{name}.monitor")

    def play_by_default_on(self, name: str) -> None:
        """The system's settings name another loudspeaker."""
        self._control("set-default-sink", name)

    def mute(self, name: str, muted: bool) -> None:
        """The system's settings mute a microphone, or don't."""
        self._control("set-source-mute", f"{name}.monitor", str(int(muted)))

    def switch_off(self, name: str) -> None:
        """A microphone with a switch of its own delivers digital silence."""
        self._noises.pop(name).end()

    def switch_on(self, name: str) -> None:
        """It hears its room again."""
        self._noises[name] = Noise(name, self._env)

    def play_into_the_room(self, path: Path, name: str = "room") -> None:
        """Play a WAV to its end where the program's microphone is."""
        subprocess.run(("paplay", f"--device={name}", str(path)), env=self._env, check=True, timeout=120)

    def connect_speaker_to_room(self) -> None:
        """What the loudspeaker plays is heard in the room, as through the air."""
        self._control("load-module", "module-loopback", "source=speaker.monitor", "sink=room", "latency_msec=60")

    def record_speaker(self, name: str = "speaker") -> Recording:
        """Record what the program plays, from now on."""
        raw = self._folder / f"recording-{len(self._recordings)}"
        self._recordings.append(Recording(raw, self._env, name))
        return self._recordings[-1]

    def streams(self, kind: str) -> int:
        """How many streams of a kind there are, rooms' noises left out: "source-outputs" listen, "sink-inputs" play."""
        noises = len(self._noises) if kind == "sink-inputs" else 0
        return len(self._control("list", "short", kind).splitlines()) - noises

    def close(self) -> None:
        """End the server and what still records."""
        if self._server is not None:
            self.go_on()
        for recording in self._recordings:
            recording.end()
        self.stop()
        self._log.close()

    def _environment(self, name: str, alsa: str) -> Mapping[str, str]:
        config = self._folder / f"{name}.conf"
        config.write_text(alsa, encoding="utf-8")
        return {**self._own, "ALSA_CONFIG_PATH": str(config)}

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
                assert self._server is not None
                assert self._server.poll() is None, "the sound server ended; see its log"
                assert time.monotonic() < until, "the sound server doesn't answer"
                time.sleep(0.05)


class Noise:
    """Goes on in a room until it is ended."""

    def __init__(self, name: str, env: Mapping[str, str]) -> None:
        command = ("pacat", f"--device={name}", "--raw", "--format=s16le", f"--rate={RATE_HZ}", "--channels=1")
        self._player = subprocess.Popen(
            (*command, "--latency-msec=100"), env=dict(env), stdin=subprocess.PIPE, stderr=subprocess.DEVNULL
        )
        second = np.round(np.random.default_rng(7).normal(0, NOISE_STEPS, RATE_HZ)).astype("<i2").tobytes()
        self._feeder = threading.Thread(target=self._feed, args=(second,), daemon=True)
        self._feeder.start()

    def end(self) -> None:
        """Quiet."""
        self._player.kill()
        self._player.wait(30)
        self._feeder.join(30)

    def _feed(self, second: bytes) -> None:
        assert self._player.stdin is not None
        try:
            while True:
                self._player.stdin.write(second)
                self._player.stdin.flush()
        except OSError:  # it has been ended, or its server has
            return


class Recording:
    """Sound as it comes out of a loudspeaker, from now on: 16 kHz, mono."""

    def __init__(self, raw: Path, env: Mapping[str, str], name: str = "speaker") -> None:
        self._raw = raw
        command = ("parec", f"--device={name}.monitor", "--raw", "--format=s16le", f"--rate={RATE_HZ}", "--channels=1")
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
