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
from dataclasses import asdict, replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from platformdirs import user_cache_path

from companion.listening.ear import KINDS, EarFault
from companion.listening.vocabulary import read_vocabulary
from hearing.cancellers import SETTLED_S, WAYS
from hearing.corpus import Corpus
from hearing.echo_bench import VOICES, Bench
from hearing.echo_path import loudspeaker_responses
from hearing.report import ACCEPT_HEAD, accept_cells, table
from hearing.score import Listened, Said, false_accept_rows, recall_rows
from hearing.work import QUICK, Setting

ROOT = Path(__file__).parents[3]


def main() -> int:
    """Measure and print; 2 where it can't be done."""
    asked = _options().parse_args()
    vocabulary = read_vocabulary(asked.vocabulary.read_text(encoding="utf-8"), asked.vocabulary.name)
    corpus = Corpus(asked.corpus)
    found: dict[str, object] = {}
    try:
        around = corpus.surroundings()
        words = [word for word in corpus.words(vocabulary) if word.voice in VOICES]
        setting = Setting(asked.ear, vocabulary, asked.corpus / "ear", None, around, asked.quick)
        every = asked.words_every * (QUICK if asked.quick else 1)
        bench = Bench(setting, loudspeaker_responses(), words, asked.ways, every)
        if "own" in asked.only:
            taken, listened = bench.own()
            print(f"Taken away (ERLE), dB:\n\n{table(('place', 'echo dB', 'clocks', *asked.ways), taken)}\n")
            rows = false_accept_rows(listened, lambda one: one.kind)
            rows += false_accept_rows(map(_settled, listened), lambda one: f"{one.kind}, but for the first 10 s")
            for key in (lambda one: one.recording.split(" dB ")[1], lambda one: one.recording):
                rows += false_accept_rows(listened, lambda one, key=key: f"{one.kind}: {key(one)}")
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
        shares = (f"{way} {100 * cpu_s / bench.seconds:.1f}" for way, cpu_s in bench.cpu_s.items())
        print(f"CPU, per cent of one core: {', '.join(shares)}.")
    if asked.json:
        asked.json.write_text(json.dumps(found, ensure_ascii=False, indent=1), encoding="utf-8")
    return 0


def _settled(one: Listened) -> Listened:
    """The same without its first seconds, in which a canceller learns."""
    accepts = tuple(accept for accept in one.accepts if accept.second >= SETTLED_S)
    return replace(one, seconds=one.seconds - SETTLED_S, accepts=accepts)


def _accept_table(rows: list[dict]) -> str:
    return table(("way", *ACCEPT_HEAD), [accept_cells(row, 5) for row in rows])


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
    parser.add_argument("--ways", choices=list(WAYS), nargs="*", default=list(WAYS))
    parser.add_argument("--words-every", type=int, default=1, help="only one word of so many")
    parser.add_argument("--json", type=Path, help="file for everything measured")
    parser.add_argument("--quick", action="store_true", help="a tenth of the prompts and words")
    return parser


if __name__ == "__main__":
    sys.exit(main())
