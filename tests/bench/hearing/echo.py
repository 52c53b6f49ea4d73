"""The program's own prompts as an open ear would get them: at several levels, straight and through two rooms."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import numpy as np

from companion.library import load, names, prompt_folder
from companion.practice import talk
from companion.practice.prompt import Prompt, Words
from companion.practice.sequencer import Plan, State
from companion.practice.wording import count_prompt
from companion.speaking.clips import SPEEDS, ClipVoice, Speed
from companion.speaking.phrasebook import Phrasebook
from companion.speaking.phrasebook_reading import read_phrasebook
from companion.speaking.sound import RATE, resample
from companion.speaking.voice import Voice

from .levels import FULL_SCALE, RATE_HZ, SPEECH_DB
from .pieces import Piece, as_heard, joined
from .rooms import in_room

LEVELS_DB = (0.0, -10.0, -20.0)
"""Active level of the prompts, relative to usual speech."""
GAP_S = 0.6
"""Rest between two prompts."""


def recordings(
    responses: dict[str, np.ndarray], language: str = "en"
) -> Iterator[tuple[str, str, np.ndarray, list[Piece]]]:
    """Each recording: kind, name, sound as heard, pieces. The clips' speeds take turns over the levels and rooms."""
    number = 0
    for place in ("straight", *responses):
        for level in LEVELS_DB:
            speed = _speed(number)
            parts = [(text, sound, text) for text, sound in spoken_prompts(number, language)]
            sound, pieces = joined([parts[at] for at in np.random.default_rng(number).permutation(len(parts))], GAP_S)
            if place in responses:
                sound = in_room(sound, responses[place])
            name = f"prompts-{place.replace(' ', '-')}-{abs(level):.0f}-db-down-{speed}"
            yield "own prompts", name, as_heard(sound, SPEECH_DB + level, number), pieces
            number += 1


def spoken_prompts(number: int, language: str = "en") -> list[tuple[str, np.ndarray]]:
    """Every prompt's text and sound as it is played (float in int16 steps, 16 kHz), at the speed whose turn it is."""
    voice, every = _voice_and_prompts(language)
    speed = _speed(number)
    said = ((text, voice.sound(prompt, speed).samples) for text, prompt in every)
    return [(text, resample(sound, RATE, RATE_HZ) * FULL_SCALE) for text, sound in said if len(sound)]


@cache
def _voice_and_prompts(language: str) -> tuple[Voice, tuple[tuple[str, Prompt], ...]]:
    """The voice, which keeps the clips that it has read, and all that it says."""
    path = prompt_folder() / language / "phrasebook.toml"
    phrasebook = read_phrasebook(path.read_text(encoding="utf-8"), path.name)
    folder = next(iter(sorted((prompt_folder() / language / "voices").iterdir())))
    return Voice(phrasebook, "clips", ClipVoice(folder, phrasebook)), tuple(prompts(phrasebook))


def _speed(number: int) -> Speed:
    return SPEEDS[(number + number // 3) % len(SPEEDS)]


def prompts(phrasebook: Phrasebook) -> Iterator[tuple[str, Prompt]]:
    """Every clip of the phrasebook by itself, and every different prompt of every shipped recipe; with their texts."""
    said = {text: Prompt((Words(text),)) for text in phrasebook.utterances.values()}
    for name in names():
        recipe = load(name)
        for colourway in recipe.colourways:
            said |= {phrasebook.text(prompt): prompt for prompt in _session(Plan(recipe, colourway))}
    yield from ((text, prompt) for text, prompt in said.items() if text)


def _session(plan: Plan) -> Iterator[Prompt]:
    state = State(plan)
    yield from (talk.greeting(state), talk.from_the_start(state), *talk.loading(state), *talk.where(state))
    yield from (talk.offer(state), talk.report(state))
    for number in range(1, plan.moves + 1):
        yield from (talk.move(plan, number), talk.undo(plan, number))
    yield from (count_prompt(cycle, plan.cycles_in_repeat, 1) for cycle in range(1, plan.cycles_in_repeat + 1))
    yield from (talk.speed(change, limit) for change in (-1, 1) for limit in (False, True))
