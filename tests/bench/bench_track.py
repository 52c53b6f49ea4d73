"""How long a practice track of an hour takes to make, in each format, and what memory. By hand:

    PYTHONPATH=. python tests/bench/bench_track.py [--minutes 60]

Each track is made by a process of its own, with an empty journal: start-up is in the time.
"""

from __future__ import annotations

import argparse
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import soundfile

BEAT_S, MOVES = 6, 6
CORD = "five-loop-square"


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--minutes", type=int, default=60)
    cycles = parser.parse_args().minutes * 60 // (BEAT_S * MOVES)
    with tempfile.TemporaryDirectory() as name:
        for kind in ("flac", "ogg", "wav"):
            path = Path(name) / f"{kind}-cord.{kind}"
            began_s = time.perf_counter()
            subprocess.run(
                [sys.executable, "-m", "companion", "track", CORD, "--cycles", str(cycles), "--out", str(path)],
                env={**os.environ, "COMPANION_HOME": name},
                stdout=subprocess.DEVNULL,
                check=True,
            )
            took_s = time.perf_counter() - began_s
            used = resource.getrusage(resource.RUSAGE_CHILDREN)
            lasts_s = soundfile.info(str(path)).duration
            size_mb = path.stat().st_size / 1e6
            print(
                f"{kind}: {lasts_s / 60:.0f} minutes of sound in {took_s:.1f} s, {size_mb:.1f} MB;"
                f" largest process so far {used.ru_maxrss / 1024:.0f} MB"
            )


if __name__ == "__main__":
    main()
