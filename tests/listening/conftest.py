"""Voices for the listening tests: words spoken by flite and espeak-ng (Debian packages) and hibari-tts (PyPI)."""

from __future__ import annotations

import subprocess
import sys
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import soxr

from companion.listening.ear import Ear
from companion.listening.sound_file import read_sound_file, to_int16
from companion.listening.sphinx_ear import SphinxRecogniser
from companion.listening.vocabulary import Vocabulary, read_vocabulary

sys.path.insert(0, str(Path(__file__).parent))

from listening_sounds import RATE_HZ, Say

ROOT = Path(__file__).parents[2]


def _spoken(command: list[str], file: Path) -> np.ndarray:
    subprocess.run(command, check=True, capture_output=True)
    return read_sound_file(file)


@pytest.fixture(scope="session")
def flite(tmp_path_factory: pytest.TempPathFactory) -> Say:
    """A woman's voice, flite's slt."""
    file = tmp_path_factory.mktemp("flite") / "said.wav"
    return cache(lambda text: _spoken(["flite", "-voice", "slt", "-t", text, "-o", str(file)], file))


@pytest.fixture(scope="session")
def espeak_korean(tmp_path_factory: pytest.TempPathFactory) -> Say:
    """espeak-ng's Korean voice, slowly."""
    file = tmp_path_factory.mktemp("espeak") / "said.wav"
    return cache(lambda text: _spoken(["espeak-ng", "-v", "ko", "-s", "110", "-w", str(file), text], file))


@pytest.fixture(scope="session")
def espeak_italian(tmp_path_factory: pytest.TempPathFactory) -> Say:
    """espeak-ng's Italian voice, a woman's variant."""
    file = tmp_path_factory.mktemp("espeak") / "said.wav"
    return cache(lambda text: _spoken(["espeak-ng", "-v", "it+f3", "-s", "150", "-w", str(file), text], file))


@pytest.fixture(scope="session")
def hibari() -> Say:
    """The voice in the hibari-tts wheel, a natural-sounding woman's voice."""
    from hibari import Hibari

    speak = Hibari()
    return cache(lambda text: to_int16(soxr.resample(np.asarray(speak(text, seed=0)), 24_000, RATE_HZ)))


@pytest.fixture(scope="session")
def english() -> Vocabulary:
    """The shipped English vocabulary."""
    path = ROOT / "audio_prompts" / "en" / "vocabulary.toml"
    return read_vocabulary(path.read_text(encoding="utf-8"), path.name)


@pytest.fixture(scope="session")
def korean() -> Vocabulary:
    """Four Korean commands, for the Korean model from PyPI."""
    path = Path(__file__).parent / "ko" / "vocabulary.toml"
    return read_vocabulary(path.read_text(encoding="utf-8"), path.name)


@pytest.fixture(scope="session")
def model_cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One cache for the language model, so that it is built once for all tests."""
    return tmp_path_factory.mktemp("cache")


@pytest.fixture
def sphinx_ear(english: Vocabulary, model_cache: Path) -> Ear:
    """A fresh English ear."""
    return Ear(SphinxRecogniser(english, model_cache), english)
