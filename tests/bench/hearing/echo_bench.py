"""The own prompts through a loudspeaker into an open ear, and what cancellers change about it: the measurement."""

from __future__ import annotations

import sys
import tempfile
from dataclasses import asdict
from pathlib import Path

import numpy as np

from companion.listening.ear import Ear, Hearing

from .cancellers import WAYS, Canceller, cancelled, taken_db
from .conditions import CONDITIONS
from .corpus import Word
from .double_talk import LEARNING_S, Spoken, heard_over, talk_over
from .echo import GAP_S, LEVELS_DB, spoken_prompts
from .echo_path import EchoPath, echo_of
from .levels import RATE_HZ, SPEECH_DB, at_level, pink, to_int16
from .listen import Cost, overhear, say, settle
from .pieces import ROOM_BELOW_SPEECH_DB, joined, read_recording, write_recording
from .rooms import ROOMS
from .score import Listened, Said
from .work import QUICK, Setting

DELAYS_S = (0.02, 0.06, 0.12, 0.2)
DRIFT_PPM = 50.0
DRIVE = 0.9
VOICES = ("hibari", "flite slt", "flite rms")
OWN_SHARE = 0.115
"""Of the prompts in each of nine paths: a little over an hour in all."""
OVER = ((None, 0.0), (-10.0, 0.0), (-10.0, DRIFT_PPM), (0.0, 0.0))
"""Level of the prompts (None: none sounds) and drift of the clocks."""


class Behind:
    """An ear that gets what a canceller leaves while nothing is played."""

    def __init__(self, ear: Ear, canceller: Canceller) -> None:
        self._ear, self._canceller = ear, canceller

    def hear(self, block: np.ndarray) -> list[Hearing]:
        """As the ear's own."""
        return self._ear.hear(self._canceller.process(block, np.zeros_like(block)))


class Bench:
    """All that is measured, with one ear and one set of prompts."""

    def __init__(
        self, setting: Setting, responses: dict[str, np.ndarray], words: list[Word], ways: list[str], every: int
    ) -> None:
        self._setting = setting
        self._responses = responses
        self._words = words
        self._ways_tried = ways
        self._every = every
        self.cpu_s: dict[str, float] = dict.fromkeys(ways, 0.0)
        self.seconds = 0.0

    def path(self, place: str, number: int, drift_ppm: float) -> EchoPath:
        """A path as it may be met; delays take turns."""
        return EchoPath("" if place == "straight" else place, DELAYS_S[number % len(DELAYS_S)], drift_ppm, DRIVE, True)

    def prompts(self, number: int, share: float = 1.0) -> list[Spoken]:
        """The program's own prompts, mixed; the speeds take turns."""
        spoken = spoken_prompts(number)
        chosen = np.random.default_rng(number).permutation(len(spoken))[: max(8, round(share * len(spoken)))]
        return [spoken[at] for at in chosen]

    def own(self) -> tuple[list[list[str]], list[Listened]]:
        """What is taken of the prompts at each place and level, and what an open ear takes of them for commands."""
        taken, heard = [], []
        wordings = [wording for wording, _ in self._setting.vocabulary.wordings]
        for number, (place, level) in enumerate((p, lv) for p in ("straight", *ROOMS) for lv in LEVELS_DB):
            spoken = self.prompts(number, OWN_SHARE / (QUICK if self._setting.is_quick else 1))
            played, pieces = joined(((text, sound, text) for text, sound in spoken), GAP_S)
            drift = DRIFT_PPM * (number % 2)
            echo = at_level(echo_of(played, self.path(place, number, drift), self._responses), SPEECH_DB + level)
            near = to_int16(echo + _room_noise(len(echo), number))
            row = [place, f"{level:.0f}", _clocks(drift)]
            for way, left in self._ways(near, to_int16(played)):
                row.append(f"{taken_db(near, left, echo):.0f}")
                with tempfile.TemporaryDirectory(prefix="hearing-") as folder:
                    name = write_recording(Path(folder), way, f"{place} {level:.0f} dB {_clocks(drift)}", left, pieces)
                    recording = read_recording(Path(folder) / f"{name}.json")
                    heard.append(overhear(self._setting.open()[0], recording, wordings, 1.0))
                _tell(f"own prompts, {name}, {way}: {row[-1]} dB taken, {len(heard[-1].accepts)} commands heard")
            taken.append(row)
        return taken, heard

    def over(self) -> tuple[list[Said], dict[str, int]]:
        """What is heard of commands said over prompts, in both rooms, and the commands heard where none was said."""
        said: list[Said] = []
        false: dict[str, int] = {}
        for number, (place, voice) in enumerate((p, v) for p in ROOMS for v in VOICES):
            mouth = self._setting.around.responses[place]
            words = [word for word in self._of(voice) if word.speed == 1.0]
            words = words[number // len(VOICES) :: len(ROOMS) * self._every]  # each room has its share of them
            over = talk_over(self.prompts(number), words, mouth, np.random.default_rng(number))
            for level, drift in OVER:
                path = self.path(place, number, drift)
                sounds = np.zeros(len(over.played))
                if level is not None:
                    sounds = at_level(echo_of(over.played, path, self._responses), SPEECH_DB + level)
                near = to_int16(over.said + sounds + _room_noise(len(sounds), number))
                name = f"{place}, no prompt" if level is None else f"{place}, {level:.0f} dB, {_clocks(drift)}"
                for way, left in self._ways(near, to_int16(over.played)):
                    if level is None and way != "without":
                        continue
                    some, more = heard_over(self._setting.open()[0], left, over.words, f"{name}: {way}")
                    said += some
                    false[f"{name}: {way}"] = false.get(f"{name}: {way}", 0) + more
                    _tell(f"over prompts, {voice}, {name}: {way}: {_heard_of(some)}, {more} where none was said")
        return said, false

    def alone(self) -> list[Said]:
        """What is heard of commands while nothing plays, the canceller in the way."""
        said: list[Said] = []
        learning, _ = joined(((text, sound, text) for text, sound in self.prompts(0)[:20]), GAP_S)
        learning = to_int16(learning[: round(LEARNING_S * RATE_HZ)])
        for voice in VOICES:
            for condition in (one for one in CONDITIONS if one.name in ("clean", "pink 10 dB")):
                for way in self._ways_tried:
                    begun = len(said)
                    canceller = WAYS[way]()
                    canceller.process(to_int16(at_level(learning)), learning)
                    ear = Behind(self._setting.open()[0], canceller)
                    settle(ear, condition, self._setting.around)  # type: ignore[arg-type]
                    for word in self._of(voice)[:: self._every]:
                        one = say(ear, word, condition, self._setting.around, Cost())  # type: ignore[arg-type]
                        said.append(Said(**{**asdict(one), "condition": f"{condition.name}, {way}"}))
                    _tell(f"nothing playing, {voice}, {condition.name}: {way}: {_heard_of(said[begun:])}")
        return said

    def _of(self, voice: str) -> list[Word]:
        return [word for word in self._words if word.voice == voice]

    def _ways(self, near: np.ndarray, far: np.ndarray) -> list[tuple[str, np.ndarray]]:
        """What each way leaves."""
        found = []
        self.seconds += len(near) / RATE_HZ
        for way in self._ways_tried:
            left = cancelled(WAYS[way](), near, far)
            self.cpu_s[way] += left.cpu_s
            found.append((way, left.sound))
        return found


def _room_noise(samples: int, seed: int) -> np.ndarray:
    return pink(samples, SPEECH_DB - ROOM_BELOW_SPEECH_DB, np.random.default_rng(seed))


def _clocks(drift_ppm: float) -> str:
    return "two clocks" if drift_ppm else "one clock"


def _heard_of(said: list[Said]) -> str:
    return f"{sum(one.is_heard for one in said)} of {len(said)} heard"


def _tell(line: str) -> None:
    """What has come of each part, so that a run that is broken off isn't lost."""
    print(line, file=sys.stderr, flush=True)
