"""What the session's tests share: the program as a user runs it, sound made of words, and words read back."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Protocol

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from session_program import Live, Ran, environment, run
from session_sounds import Script, write_script


class Program(Protocol):
    """Runs the program to its end."""

    def __call__(
        self, *arguments: str | Path, keys: str = "", env: Mapping[str, str] | None = None, timeout_s: float = 90
    ) -> Ran: ...


class Starter(Protocol):
    """Starts the program and leaves it running."""

    def __call__(self, *arguments: str | Path, env: Mapping[str, str] | None = None) -> Live: ...


@pytest.fixture(scope="session")
def ear_cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The cache as a first session leaves it: the ear's language model takes some seconds to build."""
    home = tmp_path_factory.mktemp("first")
    script = write_script(home / "silence.wav", 0.5)
    done = run(("practise", "--brief", "--from-audio", str(script.path), "--voice", "off"), environment(home))
    assert done.status == 0, done.err
    return home / "companion" / "cache"


@pytest.fixture
def home(tmp_path: Path, ear_cache: Path) -> Path:
    """A user's home folder: no journal yet, the ear's cache built."""
    folder = tmp_path / "home"
    shutil.copytree(ear_cache, folder / "companion" / "cache")
    return folder


@pytest.fixture
def companion(home: Path) -> Program:
    """Runs the program to its end in the user's home."""

    def run_it(
        *arguments: str | Path, keys: str = "", env: Mapping[str, str] | None = None, timeout_s: float = 90
    ) -> Ran:
        return run(tuple(str(one) for one in arguments), environment(home, env), keys, timeout_s)

    return run_it


@pytest.fixture
def start(home: Path) -> Iterator[Starter]:
    """Starts the program in the user's home; what still runs after the test is ended."""
    running: list[Live] = []

    def start_it(*arguments: str | Path, env: Mapping[str, str] | None = None) -> Live:
        running.append(Live(tuple(str(one) for one in arguments), environment(home, env)))
        return running[-1]

    yield start_it
    for live in running:
        live.put_away()


@pytest.fixture
def script(tmp_path: Path) -> Callable[..., Script]:
    """Writes a WAV of words and pauses: ``script(2, "next", 5)``; ``voice`` says who speaks (see session_sounds)."""

    def write(*parts: str | float, voice: str = "slt") -> Script:
        return write_script(tmp_path / "in.wav", *parts, voice=voice)

    return write
