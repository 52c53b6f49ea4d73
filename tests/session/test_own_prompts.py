"""``companion record-prompts --from-audio``: a voice of one's own out of sound files, used by name afterwards."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import scipy.signal
import soundfile

from companion import library
from companion.cli import main
from companion.session import setting
from companion.session.prompt_voice import PromptVoice, wanted
from companion.session.reader import clips, own_voices
from companion.speaking.clips import SPEEDS, ClipVoice
from companion.speaking.sound import RATE

HIBARI = library.prompt_folder() / "en" / "voices" / "hibari"
KEYS = ("right_index", "through_two", "take_ring", "turned", "number_7")


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: Any) -> Path:
    monkeypatch.setenv("COMPANION_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


@pytest.fixture
def record(capfd: Any, monkeypatch: Any) -> Any:
    """Run the command with an answer to its question; its status, what it printed, and its complaint."""

    def run(*words: str | Path, answer: str = "yes\n") -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "stdin", io.StringIO(answer))
        status = main(["record-prompts", *map(str, words)])
        out, err = capfd.readouterr()
        assert "Traceback" not in err
        return status, out, err

    return run


@pytest.fixture
def spoken(tmp_path: Path) -> Path:
    """Recordings in a quiet room, by a voice half as loud as the clips it is made of."""
    folder = tmp_path / "spoken"
    folder.mkdir()
    book = setting.phrasebook()
    for key in KEYS:
        clip = ClipVoice(HIBARI, book).sound(book.utterances[key], "slow")
        assert clip is not None
        room = np.random.default_rng(3).standard_normal(len(clip) + RATE) * 0.001
        room[RATE // 2 : RATE // 2 + len(clip)] += 0.5 * clip
        soundfile.write(folder / f"{key}.wav", room, RATE)
    return folder


def test_what_is_recorded_where_and_how_to_delete_it_is_told_before_the_question(record: Any, spoken: Path) -> None:
    status, out, _ = record("mara", "--from-audio", spoken, answer="no\n")
    told, _, after = out.partition("Do you agree?")
    assert all(words in told for words in (str(own_voices("en") / "mara"), "Nothing is sent", "delete that folder"))
    assert (status, after.strip().endswith("Nothing was recorded.")) == (0, True)
    assert not own_voices("en").exists()


def test_each_file_becomes_a_clip_at_three_speeds(record: Any, spoken: Path) -> None:
    status, out, err = record("mara", "--from-audio", spoken)
    assert (status, err) == (0, "")
    assert "5 kept. 5 of " in out
    book = setting.phrasebook()
    own = ClipVoice(own_voices("en") / "mara", book)
    assert set(own.manifest["clips"]) == set(KEYS)
    assert "own voice" in own.manifest["origin"]
    for key in KEYS:
        lengths = [len(own.sound(book.utterances[key], speed)) for speed in SPEEDS]
        assert lengths == sorted(lengths, reverse=True)
        said = own.sound(book.utterances[key], "normal")
        original = ClipVoice(HIBARI, book).sound(book.utterances[key], "slow")
        assert len(said) == pytest.approx(len(original), abs=0.12 * RATE)
        assert np.sqrt(np.mean(said**2)) == pytest.approx(np.sqrt(np.mean(original**2)), rel=0.2), "as loud as others"


def test_the_rest_is_said_by_another_voice(record: Any, spoken: Path) -> None:
    record("mara", "--from-audio", spoken)
    both, book = clips("en", "mara"), setting.phrasebook()
    shipped = ClipVoice(HIBARI, book)
    assert np.array_equal(both.sound("Tighten.", "normal"), shipped.sound("Tighten.", "normal"))
    assert not np.array_equal(both.sound("Turned.", "normal"), shipped.sound("Turned.", "normal"))


def test_a_track_is_read_by_it(record: Any, spoken: Path, tmp_path: Path, capfd: Any) -> None:
    record("mara", "--from-audio", spoken)
    out = tmp_path / "cord.flac"
    words = ("--cycles", "1", "--brief", "--ticks", "off", "--voice", "clips")
    assert main(["track", "five-loop-square", "--out", str(out), "--reader", "mara", *words]) == 0
    sound = soundfile.read(out, dtype="float32")[0]
    own = ClipVoice(own_voices("en") / "mara", setting.phrasebook()).sound("Turned.", "normal")
    alike = scipy.signal.correlate(sound[: 12 * RATE], own, "valid", method="fft").max() / float(own @ own)
    assert alike == pytest.approx(1, abs=0.05)
    assert "own voice" in soundfile.SoundFile(out).comment


def test_files_that_are_no_good_are_told_one_by_one_and_the_others_kept(record: Any, spoken: Path) -> None:
    loud, rate = soundfile.read(spoken / "turned.wav")
    soundfile.write(spoken / "turned.wav", np.clip(loud * 40, -1, 1), rate)
    soundfile.write(spoken / "number_7.wav", np.zeros(rate), rate)
    (spoken / "take_ring.wav").write_bytes(b"no sound")
    (spoken / "velvet.wav").write_bytes(b"")
    status, out, _ = record("mara", "--from-audio", spoken)
    assert status == 0
    for line in (
        "turned.wav is too loud: its peaks are cut off; it is left out.",
        "number_7.wav holds no speech; it is left out.",
        "take_ring.wav can't be read as sound; it is left out.",
        "velvet.wav: no phrase has this key.",
        "2 kept.",
    ):
        assert line in out


def test_a_phrase_whose_words_have_changed_is_to_be_said_again(record: Any, spoken: Path) -> None:
    record("mara", "--from-audio", spoken)
    book = setting.phrasebook()
    manifest = own_voices("en") / "mara" / "manifest.json"
    said = json.loads(manifest.read_text(encoding="utf-8"))
    said["clips"]["turned"]["text"] = "Half a turn."
    manifest.write_text(json.dumps(said), encoding="utf-8")
    assert PromptVoice("en", "mara", book).missing(KEYS) == ["turned"]


def test_what_a_cord_needs_comes_first() -> None:
    book = setting.phrasebook()
    names, needed = wanted(book, library.load("five-loop-square"))
    assert set(names) == set(book.utterances)
    assert len(names) == len(book.utterances)
    assert 40 <= needed <= 75
    assert {"greeting", "right_index", "turned", "tighten", "number_1", "cycle", "goodbye"} <= set(names[:needed])
    assert "take_near_ring" not in names[:needed]


@pytest.mark.parametrize(
    ("words", "status", "told"),
    [
        (("hibari",), 2, "comes with the program"),
        (("Mara Maier",), 2, "small letters"),
        (("../mara",), 2, "small letters"),
        (("mara", "--recipe", "tassel"), 1, "tassel"),
        (("mara", "--language", "zz"), 2, "zz"),
        (("mara", "--from-audio", "nowhere"), 1, "nowhere: the folder can't be read"),
    ],
)
def test_what_cannot_be_is_told_in_one_sentence(record: Any, words: tuple[str, ...], status: int, told: str) -> None:
    done, _, err = record(*words)
    assert (done, len(err.splitlines())) == (status, 1)
    assert told in err


def test_a_disk_that_cannot_be_written_is_told(record: Any, spoken: Path, home: Path) -> None:
    (home / "voices" / "en").mkdir(parents=True)
    (home / "voices" / "en" / "mara").write_text("velvet", encoding="utf-8")
    done, _, err = record("mara", "--from-audio", spoken)
    assert done == 1
    assert err.startswith("The recording can't be kept (")
