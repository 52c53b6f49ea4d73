"""The sound check: what there is to hear and speak with, the microphone's level, and a word to try."""

from __future__ import annotations

import sys
import time
from argparse import Namespace
from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np
from rich.console import Console
from rich.live import Live

from companion.display.tables import level_meter
from companion.journal.fault import JournalFault
from companion.listening.ear import Ear, EarFault, Hearing
from companion.listening.microphone import Microphone, MicrophoneFault, input_devices
from companion.listening.model_trial import prove_model
from companion.listening.models import ModelFault
from companion.listening.moonshine_model import WRITES, model_folder
from companion.listening.sound_file import SoundFileFault, read_sound_file
from companion.listening.trained_wordings import is_trained_for
from companion.listening.vocabulary import Vocabulary, VocabularyError
from companion.practice.prompt import Phrase, Prompt
from companion.session import ear_choice, reader, setting
from companion.session.get_model import get_the_model
from companion.session.language import Language, of_command, read
from companion.session.own_voice import own_voice
from companion.session.record import record
from companion.session.teach import forget, teach
from companion.session.usage import DONE, FAULT, USAGE, UsageFault
from companion.session.worlds import EAR_RATE_HZ, FLUSH_S
from companion.speaking.clips import ClipVoice
from companion.speaking.engine import VoiceFault
from companion.speaking.phrasebook_reading import PhrasebookError
from companion.speaking.player import PlayerFault
from companion.speaking.speaker import SpeakerPlayer, output_devices
from companion.speaking.voice import Utterance

TRIAL_S = 30.0
BLOCK_S = 0.05
SPOKEN = Prompt((Phrase("greeting"),))
TRIED = "Left hand"
SETTLING_S, ROOM_S, AFTER_S = 0.3, 1.0, 1.0
"""A microphone's first moments are left out; then the room is measured; what is said may take a second longer."""
WITH_HEADPHONES = (
    "With headphones: companion practise --headphones keeps the ear open while the program speaks, "
    "and a word cuts it short."
)


def sound_check(options: Namespace) -> int:
    """Show, and try, what there is. Exit status 0, or 1 for a file or model that can't be used."""
    try:
        if options.get_model:
            return get_the_model(options.yes)
        if options.record:
            return record(options.record, options)
        if options.teach:
            return teach(options)
        if options.forget:
            return forget(options)
        language = read(of_command(options.language), options.vocabulary)
        ear_choice.of_command(options)
        language = replace(language, reader=reader.of_command(options.reader, language.code))
        _show_devices()
        _show_ears(options, language.words)
        _show_voices(options, language)
        return _try_words(options, language.words)
    except UsageFault as fault:
        print(fault, file=sys.stderr)
        return USAGE
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
    print(f"{what + ':':<15}{found}", flush=True)


def _show_ears(options: Namespace, words: Vocabulary) -> None:
    model = setting.vosk_model(options.model, words.language)
    english = words.language.split("-")[0] == WRITES
    english_only = f"knows English only, and these words are in {words.language}"
    if english:
        moonshine = "built in"
    elif is_trained_for(words.language, [wording for wording, _ in words.wordings]):
        moonshine = f'built in; it hears the commands in "{words.language}", and answers are given by keys'
    else:
        moonshine = f"not trained for these words in {words.language}"
    try:
        model_folder()
    except EarFault as fault:
        _row("Ear moonshine", str(fault))
    else:
        _row("Ear moonshine", moonshine)
    _row("Ear sphinx", "built in" if english else english_only)
    if model is None:
        _row("Ear vosk", _no_model(words.language))
        return
    try:
        prove_model(model, setting.cache() / "ears")
    except ModelFault as fault:
        _row("Ear vosk", str(fault))
    else:
        _row("Ear vosk", f"model {model}")


def _no_model(language: str) -> str:
    if language.split("-")[0] == WRITES:
        return "no model yet; companion sound-check --get-model fetches the English one"
    return f"no model yet; one for {language} from the vosk project is named by --model or VOSK_MODEL_PATH"


def _show_voices(options: Namespace, language: Language) -> None:
    book = language.book
    voice = reader.voice("clips", book, language.code, language.reader)
    spoken = voice.sound(SPOKEN)
    _row("Voice clips", _readers(language) or "none found")
    try:
        setting.engine(book).sound(TRIED, "normal")
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
    try:
        _row("Speaking", f'"{spoken.text}"')
        found = _speak(player, spoken, _microphone_or_none(options))
    except PlayerFault as fault:
        _row("Speaking", str(fault))
        return
    finally:
        player.close()
    if found:
        _row("Own voice", found)
        print(WITH_HEADPHONES)


def _readers(language: Language) -> str:
    """Whose clips there are, the one that reads first, with how many of the phrases each has said."""
    folders = reader.readers(language.code)
    wanted = len(language.book.utterances)
    told = []
    for name in sorted(folders, key=lambda name: name != language.reader):
        voice = ClipVoice(folders[name], setting.phrasebook(language.code))
        fresh = sum(voice.is_fresh(clip) for clip in language.book.utterances)
        told.append(f"{name}: {f'{fresh} of' if fresh < wanted else 'all'} {wanted} phrases")
    return "; ".join(told) + ("" if len(told) < 2 else " (the first one reads; --reader chooses)")


def _microphone_or_none(options: Namespace) -> Microphone | None:
    if options.listen == "keys":
        return None
    try:
        return Microphone(setting.device(options.microphone))
    except MicrophoneFault:
        return None  # told where the microphones are listed, and again where it is to listen


def _speak(player: SpeakerPlayer, spoken: Utterance, microphone: Microphone | None) -> str:
    """Says it, and tells whether a microphone hears that; "" where there is none."""
    if microphone is None:
        player.play(spoken.samples)
        _wait_while(lambda: player.playing, spoken.seconds + AFTER_S)
        return ""
    try:
        _heard_for(microphone, SETTLING_S)
        room = _heard_for(microphone, ROOM_S)
        player.play(spoken.samples)
        speaking = _heard_for(microphone, spoken.seconds + AFTER_S, lambda: player.playing)
    finally:
        microphone.close()
    try:
        return own_voice(room, speaking).sentence
    except ValueError:
        return "the microphone gave no sound, so it can't be told whether it hears the program's voice"


def _wait_while(goes_on: Callable[[], bool], seconds: float) -> None:
    end = time.monotonic() + seconds
    while goes_on() and time.monotonic() < end:
        time.sleep(0.02)


def _heard_for(microphone: Microphone, seconds: float, goes_on: Callable[[], bool] = lambda: True) -> np.ndarray:
    """What a microphone hears for so long, and while something goes on."""
    end = time.monotonic() + seconds
    blocks = [np.zeros(0, np.int16)]
    while goes_on() and not microphone.finished and time.monotonic() < end:
        block = microphone.read(BLOCK_S)
        if block is not None:
            blocks.append(block)
    return np.concatenate(blocks)


def _try_words(options: Namespace, words: Vocabulary) -> int:
    if options.listen == "keys":
        return DONE
    try:
        ear = setting.ear_opener(options, words)()
    except EarFault as fault:
        _row("Listening", str(fault))
        return FAULT
    print(f"Listening with: {_which_and_why(ear, options, words.language)}", flush=True)
    seconds = options.seconds or (TRIAL_S if sys.stdout.isatty() else None)
    if options.from_audio is None and seconds is None:
        return DONE
    _row("Listening", f"say one of: {', '.join(wording for wording, _ in words.wordings)}")
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


def _which_and_why(ear: Ear, options: Namespace, language: str) -> str:
    """The ear that a session would have, and why that one."""
    if ear.note:
        return f"{ear.name}. {ear.note}"
    model = setting.vosk_model(options.model, language)
    if options.listen != "auto":
        why = f"--listen {options.listen} asks for it"
    elif ear.name == "vosk":
        why = f"there is a model for it, {model}"
    else:
        why = "it is built in" if model is not None else "it is built in, and there is no vosk model"
    taught = ", and with the words you taught it" if ear.taught else ""
    return f"{ear.name}, because {why}{taught}."


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
