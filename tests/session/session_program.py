"""The program as a user runs it: a process of its own, with its own folder, its lines read as they come."""

from __future__ import annotations

import contextlib
import os
import select
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import IO

PROJECT = Path(__file__).parents[2]
PROGRAM = (sys.executable, "-m", "companion")
PATIENCE_S = 90.0
"""A slow machine under load gets so long before a wait is given up. Nothing waits longer than it has to."""
NOT_INHERITED = ("NO_COLOR", "FORCE_COLOR", "COLUMNS", "LINES", "VOSK_MODEL_PATH", "PULSE_SERVER", "PYTHONUNBUFFERED")


@dataclass(frozen=True)
class Ran:
    """What came of one run."""

    status: int
    out: str
    err: str
    seconds: float

    @property
    def lines(self) -> list[str]:
        """The plain lines."""
        return self.out.splitlines()

    def of(self, kind: str) -> list[str]:
        """The texts of all lines of a kind: ``of("say")`` is what was spoken."""
        return [line.removeprefix(f"{kind}: ") for line in self.lines if line.startswith(f"{kind}: ")]


def environment(home: Path, extra: Mapping[str, str] | None = None) -> dict[str, str]:
    """A user's environment with a home folder of its own, and no sound device to find unless ``extra`` names one."""
    own = {name: value for name, value in os.environ.items() if name not in NOT_INHERITED}
    no_devices = home / "no-sound.conf"
    home.mkdir(parents=True, exist_ok=True)
    no_devices.write_text("pcm.nothing {\n type hw\n card 99\n}\n", encoding="utf-8")
    return {
        **own,
        "HOME": str(home),
        "COMPANION_HOME": str(home / "companion"),
        "PYTHONPATH": str(PROJECT),
        "PYTHONIOENCODING": "utf-8",
        "TERM": "xterm-256color",
        "ALSA_CONFIG_PATH": str(no_devices),
        "PULSE_SERVER": f"unix:{home / 'no-such-socket'}",
        **(extra or {}),
    }


def run(arguments: tuple[str, ...], env: Mapping[str, str], keys: str = "", timeout_s: float = PATIENCE_S) -> Ran:
    """Run to the end with ``keys`` as standard input. No run may show a traceback."""
    began = time.monotonic()
    done = subprocess.run(
        (*PROGRAM, *arguments),
        env=dict(env),
        cwd=env["HOME"],
        input=keys,
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=timeout_s,
        check=False,
    )
    seconds = time.monotonic() - began
    assert "Traceback" not in done.stdout + done.stderr, done.stderr
    return Ran(done.returncode, done.stdout, done.stderr, seconds)


class Live:
    """A run that goes on while the test looks at its lines, presses keys and sends signals."""

    def __init__(self, arguments: tuple[str, ...], env: Mapping[str, str]) -> None:
        self._process = subprocess.Popen(
            (*PROGRAM, *arguments),
            env=dict(env),
            cwd=env["HOME"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            start_new_session=True,
        )
        self.lines: list[str] = []
        self.err: list[str] = []
        self._come = threading.Condition()
        self._left = threading.Event()
        self._readers = [
            threading.Thread(target=self._read, args=(self._process.stdout, self.lines), daemon=True),
            threading.Thread(target=self._read, args=(self._process.stderr, self.err), daemon=True),
        ]
        for reader in self._readers:
            reader.start()

    @property
    def pid(self) -> int:
        """The process's number."""
        return self._process.pid

    def press(self, *words: str) -> None:
        """Lines on standard input, one command each."""
        assert self._process.stdin is not None
        self._process.stdin.write("".join(f"{one}\n" for one in words).encode())
        self._process.stdin.flush()

    def no_more_keys(self) -> None:
        """Close standard input."""
        assert self._process.stdin is not None
        self._process.stdin.close()

    def no_more_readers(self) -> None:
        """Close the reading end of standard output, as a pager that is left."""
        assert self._process.stdout is not None
        self._left.set()
        self._readers[0].join(PATIENCE_S)
        self._process.stdout.close()

    def wait_for(self, wanted: str | Callable[[list[str]], bool], after: int = 0) -> int:
        """Wait for a line that begins with ``wanted`` (or for a condition on all lines); the index after it."""

        def found() -> int | None:
            if callable(wanted):
                return len(self.lines) if wanted(self.lines) else None
            numbers = (n for n, line in enumerate(self.lines[after:], after) if line.startswith(wanted))
            number = next(numbers, None)
            return None if number is None else number + 1

        with self._come:
            self._come.wait_for(lambda: found() is not None or self._over(), PATIENCE_S)
        number = found()
        assert number is not None, f"{wanted!r} never came; there were {self.lines} and errors {self.err}"
        return number

    def comes(self, wanted: str, after: int, patience_s: float) -> bool:
        """Whether a line that begins with ``wanted`` comes within some seconds."""

        def found() -> bool:
            return any(line.startswith(wanted) for line in self.lines[after:])

        with self._come:
            self._come.wait_for(lambda: found() or self._over(), patience_s)
        return found()

    def wait_until(self, condition: Callable[[], bool]) -> None:
        """Wait for something outside its lines."""
        until = time.monotonic() + PATIENCE_S
        while not condition():
            assert self._process.poll() is None, f"it ended with {self.lines} and errors {self.err}"
            assert time.monotonic() < until, f"never came; there were {self.lines} and errors {self.err}"
            time.sleep(0.05)

    def tell(self, number: signal.Signals) -> None:
        """Send a signal."""
        os.kill(self.pid, number)

    def end(self) -> int:
        """Wait for the end; the exit status (negative: the signal that killed it)."""
        status = self._process.wait(PATIENCE_S)
        for reader in self._readers:
            reader.join(PATIENCE_S)
        assert "Traceback" not in "\n".join(self.err), "\n".join(self.err)
        return status

    def put_away(self) -> None:
        """End it if it still runs, after a test that failed."""
        if self._process.poll() is None:
            self._process.kill()
            self._process.wait(PATIENCE_S)
        self._left.set()
        for reader in self._readers:
            reader.join(PATIENCE_S)
        for pipe in (self._process.stdin, self._process.stdout, self._process.stderr):
            if pipe is not None:
                with contextlib.suppress(OSError):  # what was written to a program that has ended
                    pipe.close()

    def _over(self) -> bool:
        return self._process.poll() is not None and not any(reader.is_alive() for reader in self._readers)

    def _read(self, pipe: IO[bytes], lines: list[str]) -> None:
        """Lines as they come, until their end or until the test leaves them unread."""
        rest = b""
        while not self._left.is_set():
            if not select.select([pipe], [], [], 0.1)[0]:
                continue
            data = os.read(pipe.fileno(), 65536)
            *whole, rest = (rest + data).split(b"\n")
            with self._come:
                lines += [line.decode() for line in whole]
                self._come.notify_all()
            if not data:
                break
        with self._come:
            self._come.notify_all()
