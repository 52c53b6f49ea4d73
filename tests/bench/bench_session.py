"""How fast the session speaks and hears, and what it costs. By hand, on Linux:

    python tests/bench/bench_session.py [--runs 7] [--listen-seconds 20]

Needs what the session's tests need: pulseaudio, pulseaudio-utils, libasound2-plugins, flite (apt).

- Start to first sound: from the start of the process to the first sample that leaves the loudspeaker of a
  private sound server. An upper bound: the recorder's own delay (about 50 ms) is in it. The first run, which
  fills the disk's cache, is left out.
- Word end to confirming sound: in the sound's own time, from sound files. The word ends where flite's wave falls
  below 2 % of full scale for good; the confirming sound begins where its wave rises above 0.2 %.
- Processor time while listening: of the live process, as a share of real time; in a quiet room, and while somebody
  talks in it.
- Memory: resident, with pocketsphinx loaded.
"""

from __future__ import annotations

import argparse
import os
import statistics
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "session"))

from session_program import Live, environment, run
from session_pulse import RATE_HZ, Recording, SoundSystem
from session_sounds import stretches, write_script

CORD = ("practise", "five-loop-square", "--plain")
TICKS = os.sysconf("SC_CLK_TCK")
WORDS = ("next", "back", "again", "slower", "faster", "pause", "carry on")
TALK = ("The tailor measured nine yards of lace and cut them on the long table by the window", 0.7)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--runs", type=int, default=7)
    parser.add_argument("--listen-seconds", type=float, default=20.0)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        system = SoundSystem(folder / "sound")
        try:
            first_sound(folder, system, options.runs)
            answer(folder)
            listening(folder, system, options.listen_seconds)
        finally:
            system.close()


def first_sound(folder: Path, system: SoundSystem, runs: int) -> None:
    """Start of the process to the first sample out of the loudspeaker, greeting first."""
    env = environment(folder / "home", system.environment)
    seconds = [_first_sound_once(env, system) for _ in range(runs + 1)][1:]
    _tell("process start to first sound", seconds, "s", "aim < 1 s")


def _first_sound_once(env: dict[str, str], system: SoundSystem) -> float:
    recording = system.record_speaker()
    while not len(recording.samples):
        time.sleep(0.01)
    began = time.monotonic()
    live = Live((*CORD, "--fresh"), env)
    try:
        return _time_of_first_loud(recording) - began
    finally:
        live.put_away()
        recording.end()
        while system.streams("sink-inputs"):
            time.sleep(0.05)


def _time_of_first_loud(recording: Recording) -> float:
    """The monotonic time of the first loud sample."""
    while True:
        samples = recording.samples
        now = time.monotonic()
        loud = np.flatnonzero(np.abs(samples) > 0.002)
        if len(loud):
            return now - (len(samples) - loud[0]) / RATE_HZ
        time.sleep(0.005)


def answer(folder: Path) -> None:
    """Word end to confirming sound, in sound time."""
    env = environment(folder / "home")
    delays_ms: list[float] = []
    missed = 0
    for voice in ("slt", "rms", "hibari"):
        parts = [part for word in ("next", *WORDS, "next", *WORDS) for part in (word, 7.0)]
        script = write_script(folder / f"{voice}.wav", 2.0, *parts, voice=voice)
        out = folder / f"{voice}-out.wav"
        run((*CORD, "--brief", "--fresh", "--from-audio", str(script.path), "--to-audio", str(out)), env)
        begins = [begins_s for begins_s, _ in stretches(out, 0.5)]
        for word in script.words:
            after_s = [begins_s - word.ends_s for begins_s in begins if 0 < begins_s - word.ends_s < 1.5]
            missed += not after_s
            delays_ms += [1000 * after_s[0]] if after_s else []
    _tell("word end to confirming sound, in sound time", delays_ms, "ms", f"aim < 450 ms; {missed} words missed")


def listening(folder: Path, system: SoundSystem, seconds: float) -> None:
    """Processor time and memory of a session that listens."""
    env = environment(folder / "home", system.environment)
    talk = write_script(folder / "talk.wav", *(TALK * max(1, round(seconds / 4))))
    live = Live((*CORD, "--fresh", "--brief"), env)
    try:
        live.wait_for("move: ")
        word = write_script(folder / "word.wav", 0.5, "next", 0.5)
        while not live.comes("heard: next", 0, patience_s=3):  # until the ear has been loaded
            system.play_into_the_room(word.path)
        time.sleep(6)  # until the answer has been spoken
        quiet = _share(live.pid, lambda: time.sleep(seconds))
        while_talking = _share(live.pid, lambda: system.play_into_the_room(talk.path))
        resident_mb = _resident_mb(live.pid)
    finally:
        live.put_away()
    print(
        f"processor while listening: quiet room {quiet:.1%}, somebody talking {while_talking:.1%} of one (aim < 10 %)"
    )
    print(f"resident memory with pocketsphinx: {resident_mb:.0f} MB (aim < 250 MB)")


def _share(pid: int, wait: object) -> float:
    """Processor time over real time while something is waited for."""
    assert callable(wait)
    began, used = time.monotonic(), _processor_s(pid)
    wait()
    return (_processor_s(pid) - used) / (time.monotonic() - began)


def _processor_s(pid: int) -> float:
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / TICKS


def _resident_mb(pid: int) -> float:
    lines = Path(f"/proc/{pid}/status").read_text(encoding="ascii").splitlines()
    return next(int(line.split()[1]) / 1024 for line in lines if line.startswith("VmRSS"))


def _tell(what: str, values: list[float], unit: str, remark: str) -> None:
    ordered = sorted(values)
    late = ordered[min(len(ordered) - 1, round(0.95 * len(ordered)))]
    print(
        f"{what}: median {statistics.median(values):.3g} {unit}, 95th percentile {late:.3g} {unit}, "
        f"n = {len(values)} ({remark})"
    )


if __name__ == "__main__":
    main()
