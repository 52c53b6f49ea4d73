"""The second English voice, rms: whole, as loud as the first, small, and understood where it matters most."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from companion.library import load, names
from companion.practice import steps, talk
from companion.practice.position import Position
from companion.practice.state import Plan
from companion.speaking.clips import SPEEDS, ClipVoice
from companion.speaking.phrasebook import Phrasebook
from companion.speaking.sound import RATE, Samples, levels
from companion.speaking.voice import Voice

FINGERS = ("thumb", "index", "middle", "ring", "little")
SHORT_PHRASE_WORDS, SHORT_PHRASE_S, SENTENCE_S = 4, 1.6, 4.0


@pytest.fixture(scope="module")
def folder(prompts_folder: Path) -> Path:
    return prompts_folder / "en" / "voices" / "rms"


@pytest.fixture(scope="module")
def rms(folder: Path, english: Phrasebook) -> ClipVoice:
    return ClipVoice(folder, english)


def test_every_phrase_and_number_has_a_clip_at_each_speed(rms: ClipVoice, english: Phrasebook, folder: Path) -> None:
    assert [name for name in english.utterances if not rms.is_fresh(name)] == [], "render the clips anew"
    for speed in SPEEDS:
        assert {path.stem for path in (folder / speed).iterdir()} == set(english.utterances)


def test_the_clips_are_as_loud_and_as_short_as_those_of_the_first_voice(rms: ClipVoice, english: Phrasebook) -> None:
    for name in list(english.utterances)[::5]:
        text = english.utterances[name]
        samples = rms.sound(text, "slow")
        assert samples is not None, name
        is_short = len(text.split()) <= SHORT_PHRASE_WORDS and ". " not in text
        assert 0.1 < len(samples) / RATE < (SHORT_PHRASE_S if is_short else SENTENCE_S), name
        level = levels(samples)
        speech = level[level > 0.1 * level.max()]
        assert 0.05 < float(np.sqrt(np.mean(np.square(speech)))) < 0.12, name
        assert np.abs(samples).max() < 0.95, name


def test_all_its_clips_are_small_enough_to_ship(folder: Path) -> None:
    assert sum(path.stat().st_size for path in folder.rglob("*") if path.is_file()) < 10_000_000


def test_the_manifest_names_voice_licence_and_origin(rms: ClipVoice) -> None:
    assert rms.manifest["licence"] == "CMU ARCTIC"
    assert rms.manifest["voice"].startswith("flite rms")
    assert "no recording of a person" in rms.manifest["origin"]


@pytest.mark.slow
def test_the_fingers_are_told_apart(
    english: Phrasebook, rms: ClipVoice, hears_phrases: Callable[[Samples], str], words_of: Callable[[str], list[str]]
) -> None:
    """By pocketsphinx with a grammar of all phrases, as the first voice is."""
    keys = [f"{verb}_{finger}" for verb in ("take", "through", "left", "right", "return_left") for finger in FINGERS]
    heard = {}
    for key in keys:
        samples = rms.sound(english.phrases[key], "normal")
        assert samples is not None
        heard[key] = words_of(hears_phrases(samples))[-1:]
    assert {key: words for key, words in heard.items() if words != [key.rsplit("_", 1)[1]]} == {}


@pytest.mark.slow
def test_who_knows_the_phrases_hears_most(
    english: Phrasebook, rms: ClipVoice, hears_phrases: Callable[[Samples], str], words_of: Callable[[str], list[str]]
) -> None:
    """Fewer than of the first voice: single short words are swallowed."""
    heard = []
    for name in list(english.utterances)[::12]:
        samples = rms.sound(english.utterances[name], "normal")
        assert samples is not None
        heard.append(words_of(hears_phrases(samples)) == words_of(english.utterances[name]))
    assert sum(heard) / len(heard) >= 0.85


@pytest.mark.parametrize("name", names())
def test_a_cycle_takes_no_longer_than_with_the_first_voice(
    name: str, english: Phrasebook, rms: ClipVoice, clips: ClipVoice
) -> None:
    recipe = load(name)
    plan = Plan(recipe, recipe.colourways[0])
    seconds = {"rms": 0.0, "hibari": 0.0}
    position = Position()
    while position.prompted < plan.moves:
        position = steps.forward(plan, position)
        for voice, source in (("rms", rms), ("hibari", clips)):
            seconds[voice] += Voice(english, "clips", source).sound(talk.move(plan, position.to_come)).seconds
    assert seconds["rms"] < 1.05 * seconds["hibari"]
