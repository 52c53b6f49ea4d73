"""The sound check: what there is to hear and speak with, the microphone's level, and a word to try."""

from __future__ import annotations

import sys
import time
from argparse import Namespace
from collections.abc import Callable, Iterator

import numpy as np
from rich.console import Console
from rich.live import Live

from companion.display.tables import level_meter
from companion.journal.fault import JournalFault
from companion.listening.ear import Ear, EarFault, Hearing
from companion.listening.microphone import Microphone, MicrophoneFault, input_devices
from companion.listening.models import ModelFault, check_model
from companion.listening.sound_file import SoundFileFault, read_sound_file
from companion.listening.vocabulary import Vocabulary, VocabularyError
from companion.practice.prompt import Phrase, Prompt
from companion.session import setting
from companion.session.get_model import get_the_model
from companion.session.record import record
from companion.session.worlds import EAR_RATE_HZ, FLUSH_S
from companion.speaking.engine import EngineVoice, VoiceFault
from companion.speaking.phrasebook import PhrasebookError
from companion.speaking.player import PlayerFault
from companion.speaking.speaker import SpeakerPlayer, output_devices

DONE, FAULT = 0, 1
TRIAL_S = 30.0
BLOCK_S = 0.05
SPOKEN = Prompt((Phrase("greeting"),))
TRIED = "Left hand"


def sound_check(options: Namespace) -> int:
    """Show, and try, what there is. Exit status 0, or 1 for a file or model that can't be used."""
    try:
        if options.get_model:
            return get_the_model(options.yes)
        if options.record:
            return record(options.record, options)
        words = setting.vocabulary(options.vocabulary)
        _show_devices()
        _show_ears(options, words)
        _show_voices(options)
        return _try_words(options, words)
    except (VocabularyError, PhrasebookError, setting.FileFault, SoundFileFault, JournalFault) as fault:
        print(fault, file=sys.stderr)
        return FAULT
    except KeyboardInterrupt:
        return DONE


def _show_devices() -> None:
    _row("Microphones", _names_or_fault(input_devices, MicrophoneFault))
    _row("Loudspeakers", _names_or_fault(output_devices, PlayerFault))


def _names_or_fault(find: Callable[[], dict[int, str]], fault_kind: type[Exception]) -> str:
    try:
        names = find()
    except fault_kind as fault:
        return str(fault)
    return "; ".join(f"{number} {name}" for number, name in names.items()) or "none; plug one in, then look again"


def _row(what: str, found: str) -> None:
    print(f"{what + ':':<14}{found}", flush=True)


def _show_ears(options: Namespace, words: Vocabulary) -> None:
    model = setting.vosk_model(options.model)
    english = words.language.split("-")[0] == "en"
    _row("Ear sphinx", "built in" if english else f"knows English only, and these words are in {words.language}")
    if model is None:
        _row("Ear vosk", "no model yet; companion sound-check --get-model fetches the English one")
        return
    try:
        check_model(model)
    except ModelFault as fault:
        _row("Ear vosk", str(fault))
    else:
        _row("Ear vosk", f"model {model}")


def _show_voices(options: Namespace) -> None:
    book = setting.phrasebook()
    voice = setting.voice("clips", book)
    spoken = voice.sound(SPOKEN)
    _row("Voice clips", f"{len(book.utterances)} phrases, {setting.CLIP_VOICE}" if not spoken.silent else "none found")
    try:
        EngineVoice(setting.cache() / "speech").sound(TRIED, "normal")
    except VoiceFault as fault:
        _row("Voice engine", str(fault))
    else:
        _row("Voice engine", "works")
    if options.from_audio:
        return
    try:
        player = SpeakerPlayer(setting.device(options.speaker))
    except PlayerFault as fault:
        _row("Speaking", str(fault))
        return
    _row("Speaking", f'"{spoken.text}"')
    player.play(spoken.samples)
    end = time.monotonic() + spoken.seconds + 1
    while player.playing and player.alive and time.monotonic() < end:
        time.sleep(0.02)
    player.close()


def _try_words(options: Namespace, words: Vocabulary) -> int:
    if options.listen == "keys":
        return DONE
    seconds = options.seconds or (TRIAL_S if sys.stdout.isatty() else None)
    if options.from_audio is None and seconds is None:
        return DONE
    try:
        ear = setting.ear_opener(options, words)()
    except EarFault as fault:
        _row("Listening", str(fault))
        return FAULT
    if ear.note:
        _row("Listening", ear.note)
    _row("Listening", f"with {ear.name}; say one of: {', '.join(wording for wording, _ in words.wordings)}")
    if options.from_audio:
        sound = read_sound_file(options.from_audio)
        for hearing in ear.hear(np.concatenate([sound, np.zeros(round(FLUSH_S * EAR_RATE_HZ), np.int16)])):
            print(_told(hearing))
        return DONE
    try:
        microphone = Microphone(setting.device(options.microphone))
    except MicrophoneFault as fault:
        _row("Listening", str(fault))
        return DONE
    try:
        _meter(ear, _blocks(microphone, seconds or TRIAL_S))
    finally:
        microphone.close()
    return DONE


def _blocks(microphone: Microphone, seconds: float) -> Iterator[np.ndarray]:
    end = time.monotonic() + seconds
    while time.monotonic() < end and not microphone.finished:
        block = microphone.read(BLOCK_S)
        if block is not None:
            yield block


def _meter(ear: Ear, blocks: Iterator[np.ndarray]) -> None:
    """The level, drawn in place on a terminal; the words below one another."""
    console = Console()
    if not console.is_terminal:
        loudest = -120.0
        for block in blocks:
            for hearing in ear.hear(block):
                print(_told(hearing), flush=True)
            loudest = max(loudest, ear.level_db)
        _row("Loudest", f"{loudest:.0f} dB below full scale")
        return
    with Live(level_meter(ear.level_db), console=console, transient=True, refresh_per_second=15) as live:
        for block in blocks:
            for hearing in ear.hear(block):
                live.console.print(_told(hearing))
            live.update(level_meter(ear.level_db))


def _told(hearing: Hearing) -> str:
    if hearing.command is None:
        return f'unsure: "{hearing.text}" at {hearing.started:.1f} s'
    return f"heard: {hearing.command.value} at {hearing.started:.1f} s"
