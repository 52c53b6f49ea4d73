"""How quickly, how cheaply and how well the sphinx ear hears. Run by hand: python tests/bench/bench_listening.py

Speaks every wording of the English vocabulary with whatever voices are installed (flite, espeak-ng, festival's
text2wave, hibari-tts), in a quiet room and with pink noise, and prints a table: recall, commands taken for another,
time from the word's end to the decision in sound time, CPU as a share of real time, memory. With --talk FOLDER, every
sound file in that folder is played too, and each command heard in it is a false accept.

Voices are machines: recall is for comparing one version with another and says nothing about people.
"""

from __future__ import annotations

import argparse
import math
import resource
import shutil
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import soxr

from companion.listening.ear import Ear, Hearing, open_ear
from companion.listening.sound_file import SoundFileFault, read_sound_file, to_int16
from companion.listening.vocabulary import Vocabulary, read_vocabulary

ROOT = Path(__file__).parents[2]
RATE_HZ = 16_000
BLOCK = 320
SPEECH_DB = -26.0
LEAD_S, TAIL_S = 0.7, 0.7
Say = Callable[[str, float], np.ndarray]
"""Text and speed (1 = the voice's own) to samples."""


@dataclass
class Score:
    """What happened to the commands of one voice at one level of noise."""

    said: int = 0
    heard: int = 0
    mistaken: int = 0
    delays_s: list[float] = field(default_factory=list)
    sound_s: float = 0.0
    cpu_s: float = 0.0
    missed: list[str] = field(default_factory=list)


def voices(work: Path) -> Iterator[tuple[str, Say]]:
    """The voices that are installed."""
    file = work / "said.wav"

    def spoken(*command: str, text: str = "") -> np.ndarray:
        subprocess.run(command, check=True, capture_output=True, input=text.encode())
        return read_sound_file(file)

    if shutil.which("flite"):
        for voice in ("slt", "rms", "awb", "kal16"):
            yield (
                f"flite {voice}",
                lambda text, speed, voice=voice: spoken(
                    "flite", "-voice", voice, "--setf", f"duration_stretch={1 / speed}", "-t", text, "-o", str(file)
                ),
            )
    if shutil.which("text2wave"):
        yield (
            "festival",
            lambda text, speed: spoken(
                "text2wave", "-eval", f"(Parameter.set 'Duration_Stretch {1 / speed})", "-o", str(file), text=text
            ),
        )
    if shutil.which("espeak-ng"):
        for voice in ("en-us", "en-gb"):
            yield (
                f"espeak-ng {voice}",
                lambda text, speed, voice=voice: spoken(
                    "espeak-ng", "-v", voice, "-s", str(round(150 * speed)), "-w", str(file), text
                ),
            )
    try:
        from hibari import Hibari
    except ImportError:
        return
    hibari = Hibari()
    yield (
        "hibari",
        lambda text, speed: to_int16(soxr.resample(np.asarray(hibari(text, speed=speed, seed=0)), 24_000, RATE_HZ)),
    )


def loud_frames(sound: np.ndarray) -> np.ndarray:
    """Mean power of each 20 ms frame, and which of them belong to the word (within 20 dB of the loudest)."""
    frames = sound[: len(sound) // BLOCK * BLOCK].reshape(-1, BLOCK).astype(float)
    return np.mean(frames**2, axis=1)


def in_noise(sound: np.ndarray, ratio_db: float, random: np.random.Generator) -> tuple[np.ndarray, float]:
    """The word at SPEECH_DB with pink noise `ratio_db` below it all around; and the seconds at which the word ends."""
    power = loud_frames(sound)
    loud = power > 0.01 * power.max()
    level = 32_768 * 10 ** (SPEECH_DB / 20)
    lead = round(LEAD_S * RATE_HZ)
    whole = np.zeros(lead + len(sound) + round(TAIL_S * RATE_HZ))
    whole[lead : lead + len(sound)] = sound * (level / math.sqrt(power[loud].mean()))
    spectrum = np.fft.rfft(random.normal(size=len(whole)))
    pink = np.fft.irfft(spectrum / np.sqrt(np.maximum(np.arange(len(spectrum)), 1)), len(whole))
    whole += pink / pink.std() * level * 10 ** (-ratio_db / 20)
    end_s = LEAD_S + (np.flatnonzero(loud)[-1] + 1) * BLOCK / RATE_HZ
    return np.clip(np.rint(whole), -32_768, 32_767).astype(np.int16), end_s


def play(ear: Ear, sound: np.ndarray) -> Iterator[tuple[Hearing, float]]:
    """Each hearing, with the seconds of this sound that had gone by when it came."""
    for start in range(0, len(sound), BLOCK):
        for hearing in ear.hear(sound[start : start + BLOCK]):
            yield hearing, (start + BLOCK) / RATE_HZ


def measure(ear: Ear, say: Say, vocabulary: Vocabulary, ratio_db: float, speeds: list[float]) -> Score:
    """Says every wording at every speed, in an order that is mixed but always the same."""
    score, random = Score(), np.random.default_rng(1)
    script = [(wording, command, speed) for wording, command in vocabulary.wordings for speed in speeds]
    for place in random.permutation(len(script)):
        wording, command, speed = script[place]
        sound, end_s = in_noise(say(wording, speed), ratio_db, random)
        began = time.process_time()
        heard = [(hearing, came) for hearing, came in play(ear, sound) if hearing.command]
        score.cpu_s += time.process_time() - began
        score.sound_s += len(sound) / RATE_HZ
        score.said += 1
        if [hearing.command for hearing, _ in heard] == [command]:
            score.heard += 1
            score.delays_s.append(heard[0][1] - end_s)
        else:
            score.mistaken += bool(heard)
            score.missed.append(wording)
    return score


def row(name: str, ratio_db: float, score: Score) -> str:
    delays = np.array(score.delays_s or [math.nan]) * 1_000
    often = sorted({word: score.missed.count(word) for word in score.missed}.items(), key=lambda item: -item[1])[:4]
    return (
        f"{name:<16}{ratio_db:>5.0f}{score.said:>6}{100 * score.heard / score.said:>8.0f}{score.mistaken:>9}"
        f"{np.median(delays):>9.0f}{np.percentile(delays, 95):>7.0f}{100 * score.cpu_s / score.sound_s:>7.1f}"
        f"  {', '.join(f'{word} {count}' for word, count in often)}"
    )


def false_accepts(ear: Ear, folder: Path) -> str:
    """Plays every sound file in `folder` and lists the commands heard, with a 95 % upper bound on their rate."""
    seconds, accepts = 0.0, []
    random = np.random.default_rng(2)
    for file in sorted(path for path in folder.rglob("*") if path.suffix.lower() in (".wav", ".flac", ".ogg")):
        try:
            sound = read_sound_file(file)
        except SoundFileFault:
            continue
        if len(sound) < BLOCK or not sound.any():
            continue
        seconds += len(sound) / RATE_HZ
        sound, _ = in_noise(sound, 35.0, random)
        accepts += [f"{hearing.text} ({file.stem})" for hearing, _ in play(ear, sound) if hearing.command]
    hours = max(seconds / 3_600, 1e-9)
    # Upper end of a Poisson count, by its normal approximation with the continuity terms of Byar (1975).
    more = len(accepts) + 1
    bound = more * (1 - 1 / (9 * more) + 1.645 / (3 * math.sqrt(more))) ** 3
    return (
        f"false accepts: {len(accepts)} in {hours:.2f} h = {len(accepts) / hours:.0f} an hour, "
        f"below {bound / hours:.0f} with 95 % confidence: {', '.join(accepts)}"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--noise", type=float, nargs="*", default=[40.0, 10.0], help="speech to noise, dB")
    parser.add_argument("--speeds", type=float, nargs="*", default=[0.85, 1.0, 1.15])
    parser.add_argument("--talk", type=Path, help="folder of recordings that hold no command")
    asked = parser.parse_args()
    path = ROOT / "audio_prompts" / "en" / "vocabulary.toml"
    vocabulary = read_vocabulary(path.read_text(encoding="utf-8"), path.name)
    with tempfile.TemporaryDirectory() as folder:
        work = Path(folder)
        began = time.perf_counter()
        open_ear("sphinx", vocabulary, work)
        built = time.perf_counter()
        open_ear("sphinx", vocabulary, work)
        print(f"opened in {built - began:.2f} s with building, {time.perf_counter() - built:.2f} s from the cache")
        print(f"memory after opening (peak): {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")
        print("voice              dB  said  heard%  mistaken  end ms    p95   CPU%  missed most")
        for name, say in voices(work):
            for ratio_db in asked.noise:
                ear = open_ear("sphinx", vocabulary, work)
                print(row(name, ratio_db, measure(ear, say, vocabulary, ratio_db, asked.speeds)), flush=True)
        if asked.talk:
            print(false_accepts(open_ear("sphinx", vocabulary, work), asked.talk))


if __name__ == "__main__":
    main()
