"""Whether an echo canceller lets the ear stay open while prompts sound from a loudspeaker. By hand:

    python tests/bench/hearing/cancelling.py --quick
    python tests/bench/hearing/cancelling.py --only alone --json after.json

Plays the program's own prompts through a loudspeaker that distorts, a delay that nobody told, clocks that drift and
two rooms (and straight), at three levels, and takes them away again. Prints how much is taken (ERLE), the commands an
open ear hears in the prompts, how many commands said over prompts it hears, how many said while nothing plays (the
canceller in the way), and the canceller's CPU. Needs pywebrtc-audio and pyroomacoustics (extra "bench").

The rule that decides whether a canceller is worth having, set before the first run: over prompts 10 dB below the
person at least 80 % of what is heard without a prompt; less than one own command an hour; at most one point lost
while nothing plays.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from dataclasses import asdict
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from platformdirs import user_cache_path

from companion.listening.ear import KINDS, Ear, EarFault, Hearing
from companion.listening.vocabulary import read_vocabulary
from hearing.cancellers import SETTLED_S, WAYS, Canceller, cancelled, taken_db
from hearing.conditions import CONDITIONS, Surroundings
from hearing.corpus import Corpus, Word
from hearing.double_talk import GAP_S, Spoken, heard_over, talk_over
from hearing.echo import LEVELS_DB, spoken_prompts
from hearing.echo_path import EchoPath, echo_of, loudspeaker_responses
from hearing.levels import RATE_HZ, SPEECH_DB, at_level, pink, to_int16
from hearing.listen import Cost, overhear, say, settle
from hearing.pieces import ROOM_BELOW_SPEECH_DB, joined, read_recording, write_recording
from hearing.report import table
from hearing.rooms import ROOMS
from hearing.score import Listened, Said, false_accept_rows, recall_rows
from hearing.work import QUICK, Setting

ROOT = Path(__file__).parents[3]
DELAYS_S = (0.02, 0.06, 0.12, 0.2)
DRIFT_PPM = 50.0
DRIVE = 0.9
VOICES = ("hibari", "flite slt", "flite rms")
OWN_SHARE = 0.36
"""Of the prompts in each of nine paths: a little over an hour in all."""
OVER_LEVELS_DB = (None, 0.0, -10.0)
"""None: no prompt sounds."""
_LEARN_S = 15


class Behind:
    """An ear that gets what a canceller leaves while nothing is played."""

    def __init__(self, ear: Ear, canceller: Canceller) -> None:
        self._ear, self._canceller = ear, canceller

    def hear(self, block: np.ndarray) -> list[Hearing]:
        """As the ear's own."""
        return self._ear.hear(self._canceller.process(block, np.zeros_like(block)))


class Bench:
    """All that is measured, with one ear and one set of prompts."""

    def __init__(self, setting: Setting, responses: dict[str, np.ndarray], words: list[Word]) -> None:
        self._setting = setting
        self._responses = responses
        self._words = words
        self._every = QUICK if setting.is_quick else 1
        self.cpu_s = self.seconds = 0.0

    def path(self, place: str, number: int) -> EchoPath:
        """A path as it may be met; delays and drifts take turns."""
        drift = DRIFT_PPM if number % 2 else -DRIFT_PPM
        return EchoPath("" if place == "straight" else place, DELAYS_S[number % len(DELAYS_S)], drift, DRIVE, True)

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
            spoken = self.prompts(number, OWN_SHARE / self._every)
            played, pieces = joined(((text, sound, text) for text, sound in spoken), GAP_S)
            echo = at_level(echo_of(played, self.path(place, number), self._responses), SPEECH_DB + level)
            near = to_int16(echo + _room_noise(len(echo), number))
            row = [place, f"{level:.0f}"]
            for way, left in self._ways(near, to_int16(played)):
                row.append(f"{taken_db(near, left, echo):.0f}")
                with tempfile.TemporaryDirectory(prefix="hearing-") as folder:
                    name = write_recording(Path(folder), way, f"{place} {level:.0f} dB", left, pieces)
                    recording = read_recording(Path(folder) / f"{name}.json")
                    heard.append(overhear(self._setting.open()[0], recording, wordings, 1.0))
                early = sum(accept.second < SETTLED_S for accept in heard[-1].accepts)
                if early:
                    _tell(f"{early} command(s) in the first {SETTLED_S:.0f} s, {way}:")
            taken.append(row)
            _tell(f"own prompts, {place}, {level:.0f} dB")
        return taken, heard

    def over(self) -> tuple[list[Said], dict[str, int]]:
        """What is heard of commands said over prompts, in both rooms, and the commands heard where none was said."""
        said: list[Said] = []
        false: dict[str, int] = {}
        for number, (place, voice) in enumerate((p, v) for p in ROOMS for v in VOICES):
            mouth = self._setting.around.responses[place]
            words = [word for word in self._of(voice) if word.speed == 1.0]
            # Each room has its share of the words: half of them, in a quick run a tenth of that.
            words = words[number // len(VOICES) :: len(ROOMS) * self._every]
            over = talk_over(self.prompts(number), words, mouth, np.random.default_rng(number))
            echo = echo_of(over.played, self.path(place, number), self._responses)
            for level in OVER_LEVELS_DB:
                heard_echo = 0.0 if level is None else at_level(echo, SPEECH_DB + level)
                near = to_int16(over.said + heard_echo + _room_noise(len(echo), number))
                for way, left in self._ways(near, to_int16(over.played)):
                    if level is None and way != "without":
                        continue
                    condition = f"{place} {'no prompt' if level is None else f'{level:.0f} dB'}, {way}"
                    some, more = heard_over(self._setting.open()[0], left, over.words, condition)
                    said += some
                    false[condition] = false.get(condition, 0) + more
            _tell(f"over prompts, {place}, {voice}")
        return said, false

    def alone(self) -> list[Said]:
        """What is heard of commands while nothing plays, the canceller in the way."""
        said: list[Said] = []
        learning, _ = joined(((text, sound, text) for text, sound in self.prompts(0)[:20]), GAP_S)
        learning = to_int16(learning[: _LEARN_S * RATE_HZ])
        for voice in VOICES:
            for condition in (one for one in CONDITIONS if one.name in ("clean", "pink 10 dB")):
                for way, make in WAYS.items():
                    canceller = make()
                    canceller.process(to_int16(at_level(learning)), learning)
                    ear = Behind(self._setting.open()[0], canceller)
                    settle(ear, condition, self._setting.around)  # type: ignore[arg-type]
                    for word in self._of(voice)[:: self._every]:
                        one = say(ear, word, condition, self._setting.around, Cost())  # type: ignore[arg-type]
                        said.append(Said(**{**asdict(one), "condition": f"{condition.name}, {way}"}))
            _tell(f"nothing playing, {voice}")
        return said

    def _of(self, voice: str) -> list[Word]:
        return [word for word in self._words if word.voice == voice]

    def _ways(self, near: np.ndarray, far: np.ndarray) -> list[tuple[str, np.ndarray]]:
        """What each way leaves."""
        found = []
        for way, make in WAYS.items():
            left = cancelled(make(), near, far)
            if way == "webrtc":
                self.cpu_s += left.cpu_s
                self.seconds += len(near) / RATE_HZ
            found.append((way, left.sound))
        return found


def _room_noise(samples: int, seed: int) -> np.ndarray:
    return pink(samples, SPEECH_DB - ROOM_BELOW_SPEECH_DB, np.random.default_rng(seed))


def _tell(line: str) -> None:
    print(f"{line} done", file=sys.stderr, flush=True)


def main() -> int:
    """Measure and print; 2 where it can't be done."""
    asked = _options().parse_args()
    vocabulary = read_vocabulary(asked.vocabulary.read_text(encoding="utf-8"), asked.vocabulary.name)
    corpus = Corpus(asked.corpus)
    found: dict[str, object] = {}
    try:
        around: Surroundings = corpus.surroundings()
        words = [word for word in corpus.words(vocabulary) if word.voice in VOICES]
        setting = Setting(asked.ear, vocabulary, asked.corpus / "ear", None, around, asked.quick)
        bench = Bench(setting, loudspeaker_responses(), words)
        if "own" in asked.only:
            taken, listened = bench.own()
            print(f"Taken away (ERLE), dB:\n\n{table(('place', 'echo dB', *WAYS), taken)}\n")
            rows = false_accept_rows(listened, lambda one: one.kind)
            rows += false_accept_rows(listened, lambda one: f"{one.kind}: {one.recording}")
            print(f"Own prompts taken for commands:\n\n{_accept_table(rows)}\n")
            found |= {"taken": taken, "own": rows}
        if "over" in asked.only:
            said, false = bench.over()
            print(f"Commands said over prompts:\n\n{_recall_table(said, false)}\n")
            found |= {"over": [asdict(one) for one in said], "false": false}
        if "alone" in asked.only:
            said = bench.alone()
            print(f"Commands said while nothing plays:\n\n{_recall_table(said, {})}\n")
            found |= {"alone": [asdict(one) for one in said]}
    except (ImportError, OSError, EarFault) as fault:
        print(fault)
        return 2
    if bench.seconds:
        print(f"The canceller takes {100 * bench.cpu_s / bench.seconds:.1f} % of one core.")
    if asked.json:
        asked.json.write_text(json.dumps(found, ensure_ascii=False, indent=1), encoding="utf-8")
    return 0


def _accept_table(rows: list[dict]) -> str:
    lines = []
    for row in rows:
        low, high = row["bounds"]
        heard = ", ".join(f"{text} {count}" for text, count in list(row["heard"].items())[:5])
        rate = f"{row['per_hour']:.1f}"
        lines.append((row["group"], f"{row['hours']:.2f}", row["accepts"], rate, f"{low:.1f}-{high:.1f}", heard))
    return table(("way", "hours", "accepts", "an hour", "95 % bounds", "heard"), lines)


def _recall_table(said: list[Said], false: dict[str, int]) -> str:
    lines = []
    for row in recall_rows(said, lambda one: (one.condition,)):
        (condition,) = row["group"]
        rate = f"{100 * row['recall']:.1f} +{row['confused']}"
        lines.append((condition, row["said"], row["heard"], rate, row["delay_ms"], false.get(condition, "")))
    return table(
        ("condition", "said", "heard", "per cent, +taken for another", "delay ms", "where none was said"), lines
    )


def _options() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="cancelling", description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--ear", choices=KINDS, default="auto")
    parser.add_argument("--vocabulary", type=Path, default=ROOT / "audio_prompts" / "en" / "vocabulary.toml")
    parser.add_argument("--corpus", type=Path, default=user_cache_path("braiding-companion") / "hearing-bench")
    parser.add_argument("--only", choices=("own", "over", "alone"), nargs="*", default=["own", "over", "alone"])
    parser.add_argument("--json", type=Path, help="file for everything measured")
    parser.add_argument("--quick", action="store_true", help="a tenth of the prompts and words")
    return parser


if __name__ == "__main__":
    sys.exit(main())
