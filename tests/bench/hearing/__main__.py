"""How well an ear hears, how quickly, at what cost, and what it takes for a command that is none. By hand:

    python tests/bench/hearing --ear sphinx --quick
    python tests/bench/hearing --ear vosk --model DIR --vocabulary tests/listening/ko/vocabulary.toml --json after.json

Says every wording of a vocabulary with all installed synthetic voices at three speeds, in quiet, in pink noise and
among talkers (20, 10, 5 dB), and in two simulated rooms; and plays hours of sound that hold no command: announcements
recorded by people in five languages, letters and syllables, prose, humming, whistling, clacks and rustle, chords,
silence, and the program's own prompts. Prints recall by voice and condition, commands taken for one another, false
accepts an hour with exact bounds, time from word end to decision, CPU and memory. levels.py says what "10 dB" means.

The corpora are made once, in the folder of --corpus, from what is installed; what isn't is named. Synthetic voices
compare one version with another: their recall says nothing about people, whose recordings (companion sound-check
--record DIR) join with --recordings. Needs scipy and, for the rooms, pyroomacoustics (extra "bench").
"""

from __future__ import annotations

import argparse
import json
import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from platformdirs import user_cache_path

from companion.listening.ear import KINDS, EarFault
from companion.listening.sensitivity import Sensitivity
from companion.listening.vocabulary import Vocabulary, VocabularyError, read_vocabulary
from hearing.conditions import CONDITIONS
from hearing.corpus import Corpus, Word
from hearing.pieces import Recording
from hearing.recorded import RecordedFault, recorded, talk
from hearing.report import report, results
from hearing.work import Setting, measure, tasks

ROOT = Path(__file__).parents[3]


def main() -> int:
    """Measure and print; 2 where it can't be done."""
    asked = _options().parse_args()
    corpus = Corpus(asked.corpus)
    try:
        vocabulary = read_vocabulary(asked.vocabulary.read_text(encoding="utf-8"), asked.vocabulary.name)
        words, recordings = _material(asked, corpus, vocabulary)
        around = corpus.surroundings()
        if asked.make:
            return 0
        sensitivity = Sensitivity(asked.sensitivity)
        setting = Setting(asked.ear, vocabulary, asked.corpus / "ear", asked.model, around, asked.quick, sensitivity)
        wanted = asked.conditions or [one.name for one in CONDITIONS]
        chosen = [one for one in CONDITIONS if one.name in wanted and around.offer(one)]
        whole = measure(setting, tasks(words, chosen, recordings), asked.jobs, _progress)
    except (OSError, RecordedFault, EarFault, VocabularyError) as fault:
        print(fault)
        return 2
    about = {"format": 1, "ear": whole.ear, "note": whole.note, "quick": asked.quick, "sensitivity": asked.sensitivity}
    wordings = {wording: command.value for wording, command in vocabulary.wordings}
    about |= {"language": vocabulary.language, "wordings": wordings}
    found = about | results(whole.said, whole.listened, whole.cost)
    counts = Counter(wordings.values())
    print(f"Ear: {whole.ear}. {whole.note}".rstrip())
    print(f"Wordings: {', '.join(f'{command} {count}' for command, count in counts.items())}.\n\n{report(found)}")
    if asked.json:
        asked.json.write_text(json.dumps(found, ensure_ascii=False, indent=1), encoding="utf-8")
    return 0


def _material(asked: argparse.Namespace, corpus: Corpus, vocabulary: Vocabulary) -> tuple[list[Word], list[Recording]]:
    """The words and recordings that were asked for."""
    words = corpus.words(vocabulary) if asked.only != "recordings" else []
    recordings = corpus.recordings() if asked.only != "words" else []
    for folder in asked.recordings:
        more_words, more_recordings = recorded(folder, vocabulary)
        words += more_words if asked.only != "recordings" else []
        recordings += more_recordings if asked.only != "words" else []
    for folder in asked.talk:
        recordings += talk(folder)
    return (
        [word for word in words if not asked.voices or {word.voice, word.kind} & set(asked.voices)],
        [one for one in recordings if not asked.kinds or {one.kind, one.name} & set(asked.kinds)],
    )


def _options() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="hearing", description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--ear", choices=KINDS, default="auto")
    parser.add_argument("--sensitivity", choices=[one.value for one in Sensitivity], default="normal")
    parser.add_argument("--vocabulary", type=Path, default=ROOT / "audio_prompts" / "en" / "vocabulary.toml")
    parser.add_argument("--model", type=Path, help="folder of a vosk model")
    parser.add_argument("--corpus", type=Path, default=user_cache_path("braiding-companion") / "hearing-bench")
    parser.add_argument("--recordings", type=Path, nargs="*", default=[], help="folders of sound-check --record")
    parser.add_argument("--talk", type=Path, nargs="*", default=[], help="folders of sound files without commands")
    parser.add_argument("--json", type=Path, help="file for everything measured")
    parser.add_argument("--quick", action="store_true", help="a tenth of everything")
    parser.add_argument("--jobs", type=int, choices=(1, 2), default=1, help="processes")
    parser.add_argument("--only", choices=("words", "recordings"), help="one half of the bench")
    parser.add_argument("--voices", nargs="*", default=[], help="only these voices, by name or by kind")
    parser.add_argument("--conditions", nargs="*", default=[], choices=[one.name for one in CONDITIONS])
    parser.add_argument("--kinds", nargs="*", default=[], help="only these recordings, by kind or by name")
    parser.add_argument("--make", action="store_true", help="make the corpora and stop")
    return parser


def _progress(line: str) -> None:
    if sys.stderr.isatty():
        print(f"\r{line} ", end="", file=sys.stderr, flush=True)


if __name__ == "__main__":
    sys.exit(main())
