"""The shipped clips are whole, say what the phrasebook says, and a stale or damaged one is not used."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from companion.speaking.clips import SPEEDS, ClipVoice, Speed
from companion.speaking.phrasebook import Phrasebook
from companion.speaking.sound import RATE

SHORT_PHRASE_WORDS = 4
SHORT_PHRASE_S, SENTENCE_S = 1.6, 4.0


@pytest.fixture(scope="session")
def folder(prompts_folder: Path) -> Path:
    return prompts_folder / "en" / "voices" / "hibari"


@pytest.mark.parametrize("speed", SPEEDS)
def test_every_phrase_and_number_has_a_sound_clip(speed: Speed, english: Phrasebook, clips: ClipVoice) -> None:
    for name, text in english.utterances.items():
        samples = clips.sound(text, speed)
        assert samples is not None, f"{name}: render the clips anew"
        assert samples.dtype == np.float32
        is_short = len(text.split()) <= SHORT_PHRASE_WORDS and ". " not in text
        most_s = SHORT_PHRASE_S if is_short else SENTENCE_S
        assert 0.12 < len(samples) / RATE < most_s, name
        assert 0.03 < float(np.sqrt(np.mean(samples**2))) < 0.12, name
        assert np.abs(samples).max() < 0.95, name


def test_slow_is_slower_and_fast_is_faster(english: Phrasebook, clips: ClipVoice) -> None:
    def seconds(speed: Speed) -> float:
        sounds = [clips.sound(text, speed) for text in english.utterances.values()]
        return sum(len(sound) for sound in sounds if sound is not None) / RATE

    assert seconds("slow") > 1.1 * seconds("normal") > 1.1 * 1.1 * seconds("fast")


def test_no_clip_is_left_over(english: Phrasebook, folder: Path) -> None:
    for speed in SPEEDS:
        assert {path.stem for path in (folder / speed).iterdir()} == set(english.utterances)


def test_all_clips_together_are_small_enough_to_ship(folder: Path) -> None:
    assert sum(path.stat().st_size for path in folder.rglob("*") if path.is_file()) < 10_000_000


def test_the_manifest_names_voice_licence_and_origin(clips: ClipVoice) -> None:
    assert clips.manifest["licence"] == "Apache-2.0"
    assert clips.manifest["voice"].startswith("hibari-tts ")
    assert "Kokoro-82M" in clips.manifest["origin"]
    assert clips.manifest["sample_rate"] == RATE


class TestNotUsed:
    @pytest.fixture
    def copied(self, folder: Path, tmp_path: Path) -> Path:
        """A voice's folder with two clips."""
        for speed in SPEEDS:
            (tmp_path / speed).mkdir()
            for name in ("right_index", "turned"):
                shutil.copy(folder / speed / f"{name}.ogg", tmp_path / speed)
        shutil.copy(folder / "manifest.json", tmp_path)
        return tmp_path

    def test_a_clip_that_is_not_there(self, copied: Path, english: Phrasebook) -> None:
        assert ClipVoice(copied, english).sound("Turned.", "slow") is not None
        assert ClipVoice(copied, english).sound("Unturned.", "slow") is None

    def test_a_text_that_has_no_clip(self, copied: Path, english: Phrasebook) -> None:
        assert ClipVoice(copied, english).sound("Lift the loop.", "normal") is None

    def test_a_clip_whose_words_have_changed_since(self, copied: Path, english: Phrasebook) -> None:
        reworded = replace(english, phrases={**english.phrases, "turned": "Half a turn."})
        assert ClipVoice(copied, reworded).sound("Half a turn.", "normal") is None
        assert ClipVoice(copied, reworded).sound("Right index.", "normal") is not None

    def test_a_clip_whose_respelling_has_changed_since(self, copied: Path, english: Phrasebook) -> None:
        respelled = replace(english, say_words_as={"index": "inndex"})
        assert ClipVoice(copied, respelled).sound("Right index.", "normal") is None
        assert ClipVoice(copied, respelled).sound("Turned.", "normal") is not None

    @pytest.mark.parametrize("content", [b"", b"OggS", b"no sound at all" * 100])
    def test_a_damaged_file(self, copied: Path, english: Phrasebook, content: bytes) -> None:
        (copied / "normal" / "turned.ogg").write_bytes(content)
        assert ClipVoice(copied, english).sound("Turned.", "normal") is None

    @pytest.mark.parametrize("manifest", ["", "[]", "{}", '{"clips": 7}', '{"clips": {"turned": 7}}', "\0"])
    def test_any_clip_without_a_manifest_that_can_be_read(
        self, copied: Path, english: Phrasebook, manifest: str
    ) -> None:
        (copied / "manifest.json").write_text(manifest)
        assert ClipVoice(copied, english).sound("Turned.", "normal") is None

    def test_a_folder_that_is_not_there(self, tmp_path: Path, english: Phrasebook) -> None:
        assert ClipVoice(tmp_path / "nowhere", english).sound("Turned.", "normal") is None


def test_the_manifest_has_one_line_for_each_clip(folder: Path, english: Phrasebook) -> None:
    text = (folder / "manifest.json").read_text(encoding="utf-8")
    assert json.loads(text)["clips"].keys() == english.utterances.keys()
    assert len(text.splitlines()) >= len(english.utterances)
