"""The computer's own speech engine, through pyttsx3, for words that no clip says.

Each text is rendered once, in a child process that is killed when it takes too long, and kept in a
cache folder. What comes out is checked, levelled and trimmed like the clips.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import queue
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterable, Sequence
from pathlib import Path

import soundfile

from companion.speaking import engine_child
from companion.speaking.clips import Speed
from companion.speaking.sound import RATE, Samples, level_out, resample, trim

WORDS_A_MINUTE: dict[Speed, int] = {"slow": 135, "normal": 165, "fast": 205}

CHILD = (sys.executable, "-P", engine_child.__file__)
"""The process that renders one text."""

_CACHE_FORMAT = 2
"""Raised when rendering changes, so that older cached sounds are made anew."""


class VoiceFault(Exception):  # noqa: N818 - a fault is what the user is told of
    """The speech engine can't speak; the message is one sentence that says what would help."""


class EngineVoice:
    """Speaks any text through pyttsx3.

    ``cache`` is a folder for rendered texts (made when needed); ``timeout_s`` how long one rendering may
    take; ``driver`` and ``voice`` are pyttsx3's names for an engine and one of its voices, where the
    user has chosen; ``command`` is the child process that renders.
    """

    def __init__(
        self,
        cache: Path,
        timeout_s: float = 5.0,
        *,
        language: str = "en",
        driver: str | None = None,
        voice: str | None = None,
        command: Sequence[str] = CHILD,
    ) -> None:
        self._cache = cache
        self._timeout_s = timeout_s
        self._language = language
        self._driver = driver
        self._voice = voice
        self._command = tuple(command)
        self._broken: VoiceFault | None = None
        self._timeouts = 0
        self._ahead: queue.Queue[tuple[str, Speed]] = queue.Queue()
        self._warmer: threading.Thread | None = None
        self._closed = False

    def sound(self, text: str, speed: Speed) -> Samples:
        """A text as mono float32 at 24 kHz, from the cache or newly rendered (at most ``timeout_s`` seconds).

        Raises VoiceFault. An engine that is missing, or hangs twice running, is not asked again.
        """
        path = self.cached_path(text, speed)
        with contextlib.suppress(OSError, RuntimeError):  # not cached, or damaged: render it
            return _read(path)
        if self._broken is not None:
            raise self._broken
        samples = self._render(text, speed)
        # A full or read-only disk costs the cache, not the speech.
        with contextlib.suppress(OSError, RuntimeError):
            _keep(path, samples)
        return samples

    def is_ready(self, text: str, speed: Speed) -> bool:
        """Whether a text can be spoken at once, from the cache."""
        return self.cached_path(text, speed).exists()

    def prepare(self, texts: Iterable[str], speed: Speed = "normal") -> None:
        """Render texts into the cache in the background, in their order; a text that fails is left out."""
        for text in texts:
            self._ahead.put((text, speed))
        if self._warmer is None:
            self._warmer = threading.Thread(target=self._warm, name="speech ahead", daemon=True)
            self._warmer.start()

    def wait_prepared(self, timeout_s: float) -> bool:
        """Wait until the background has nothing left to render; False when it takes longer."""
        with self._ahead.all_tasks_done:
            return self._ahead.all_tasks_done.wait_for(lambda: not self._ahead.unfinished_tasks, timeout_s)

    def close(self) -> None:
        """Render nothing more in the background; a rendering under way ends by itself."""
        self._closed = True

    def cached_path(self, text: str, speed: Speed) -> Path:
        """The cache file of a text: its name is a fingerprint of all that decides how it sounds."""
        what = [_CACHE_FORMAT, self._driver, self._voice, self._language, WORDS_A_MINUTE[speed], text]
        return self._cache / (hashlib.sha256(json.dumps(what).encode()).hexdigest()[:32] + ".wav")

    def _warm(self) -> None:
        while True:
            text, speed = self._ahead.get()
            if not self._closed and self._broken is None:
                with contextlib.suppress(VoiceFault):  # told when the text is really wanted
                    self.sound(text, speed)
            self._ahead.task_done()

    def _render(self, text: str, speed: Speed) -> Samples:
        with tempfile.TemporaryDirectory(prefix="companion-speech-", ignore_cleanup_errors=True) as folder:
            path = Path(folder) / "speech.wav"
            self._ask_child(text, speed, path)
            try:
                samples = level_out(trim(_read(path)))
            except (OSError, RuntimeError):
                samples = None
        if samples is None or not len(samples):
            raise VoiceFault(f'The speech engine made no sound for "{text}"; it stays on the screen.')
        return samples

    def _ask_child(self, text: str, speed: Speed, path: Path) -> None:
        """Have the text saved at a path by a child process; raises VoiceFault where that fails."""
        request = {
            "text": text,
            "path": str(path),
            "rate": WORDS_A_MINUTE[speed],
            "language": self._language,
            "driver": self._driver,
            "voice": self._voice,
            "deadline_s": self._timeout_s + 1,
        }
        try:
            child = subprocess.Popen(
                self._command,
                stdin=subprocess.PIPE,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                start_new_session=True,
                cwd=path.parent,
            )
        except OSError as error:
            raise self._give_up(f"The speech engine's process could not be started ({error.strerror}).") from error
        try:
            child.communicate(json.dumps(request).encode(), timeout=self._timeout_s)
        except subprocess.TimeoutExpired:
            raise self._timed_out() from None
        finally:
            _kill(child)
        self._timeouts = 0
        self._judge(child.returncode, text)

    def _timed_out(self) -> VoiceFault:
        """The fault of a hanging engine. Once may be a cold start; twice running it is given up."""
        self._timeouts += 1
        sentence = (
            f"The speech engine did not answer within {self._timeout_s:g} seconds and was ended; "
            "what no clip says stays on the screen."
        )
        return self._give_up(sentence) if self._timeouts > 1 else VoiceFault(sentence)

    def _judge(self, status: int, text: str) -> None:
        if status == engine_child.NO_PACKAGE:
            raise self._give_up(
                "The speech engine needs the Python package pyttsx3, which is not installed: pip install pyttsx3."
            )
        if status == engine_child.NO_VOICE:
            raise self._give_up(
                f'The speech engine has no voice for the language "{self._language}", so the words stay on the screen: '
                "install one in the system's speech settings."
            )
        if status == engine_child.NO_ENGINE:
            raise self._give_up(_missing_engine())
        if status != engine_child.SAVED:
            raise VoiceFault(f'The speech engine failed on "{text}" (status {status}); it stays on the screen.')

    def _give_up(self, sentence: str) -> VoiceFault:
        self._broken = VoiceFault(sentence)
        return self._broken


def _missing_engine() -> str:
    if sys.platform.startswith("linux"):
        return "No speech engine was found; the package espeak-ng brings one (Debian, Ubuntu: apt install espeak-ng)."
    return "The system's speech engine could not be started; check that a voice is installed in its speech settings."


def _kill(child: subprocess.Popen[bytes]) -> None:
    """End a child, and what it may have started, if it is still there."""
    if child.poll() is None:
        with contextlib.suppress(OSError):
            if os.name == "posix":
                os.killpg(child.pid, signal.SIGKILL)
            else:
                child.kill()
        with contextlib.suppress(subprocess.TimeoutExpired):
            child.wait(timeout=2)


def _read(path: Path) -> Samples:
    """A sound file as mono float32 at 24 kHz; raises OSError or RuntimeError."""
    samples, rate = soundfile.read(str(path), dtype="float32", always_2d=True)
    if not len(samples):
        raise RuntimeError("the sound file is empty")
    return resample(samples.mean(axis=1), rate)


def _keep(path: Path, samples: Samples) -> None:
    """Write a cache file at once or not at all."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, suffix=".part")
    os.close(handle)
    try:
        soundfile.write(name, samples, RATE, format="WAV", subtype="PCM_16")
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
