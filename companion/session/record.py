"""Recording one's own voice: consent first, then one word after another, shown and not spoken, hands free."""

from __future__ import annotations

import sys
import time
from argparse import Namespace
from collections.abc import Iterator, Sequence
from datetime import date
from pathlib import Path

import numpy as np

from companion.listening.microphone import Microphone, MicrophoneFault
from companion.listening.segmenter import RATE_HZ
from companion.listening.sound_file import SoundFileFault, read_sound_file
from companion.listening.vocabulary import Vocabulary
from companion.session import setting
from companion.session.asking import agrees
from companion.session.cutting import Cutter, Level
from companion.session.guide import Guide, guide
from companion.session.language import of_command
from companion.session.recording import TIMES, Piece, Recording, RecordingFault, pieces
from companion.session.usage import DONE, FAULT

ROOM_S = 1.0
"""Of quiet before the first word, in which the room is measured."""
WORD_REST_S, WORD_LONGEST_S = 0.6, 4.0
READING_REST_S, READING_LONGEST_S = 1.2, 25.0
"""The quiet that ends what is said, and how long it may be."""
PATIENCE_S = 12.0
STALLED_S = 2.0
BLOCK_S = 0.05
MOST_TRIES = 2
"""What is still too quiet or too loud when it is said once more is kept: so the room is."""
WORD_S, READING_S = 3.0, 6.0
"""About how long one takes."""

ABOUT = """\
Recording your voice, so that the hearing can be measured with it.

What is recorded:  {words} words and phrases, {times} times each{reading}:
                   about {minutes} minutes. Of what else sounds only half a second
                   of the room is kept, before and after each.
Where it is kept:  in {folder}
                   and nowhere else. Nothing is sent anywhere.
How to delete it:  delete that folder. There is no copy.
Handing it on:     is your choice alone. Whoever has it can hear your voice.

Each begins by itself when it is shown: say it as you would while braiding,
and wait for the following one. You can stop at any time with Ctrl-C, and take
it up again another day.
"""
AGAIN = {
    Level.QUIET: "That was too quiet: once more, a little closer or louder.",
    Level.CLIPPED: "That was too loud: once more, a little farther away.",
    Level.LONG: "That was too long, or the room is loud: once more.",
}


def record(folder: Path, options: Namespace) -> int:
    """Guide through a recording into `folder`; 0 when it is whole or was stopped, 1 for a fault that is told."""
    try:
        words = setting.vocabulary(options.vocabulary, of_command(options.language))
        wanted = pieces(words)
        recording = Recording(folder, wanted)
        if not recording.missing():
            print(_whole(wanted, folder))
            return DONE
        if not _agrees(words, wanted, folder):
            print("Nothing was recorded.")
            return DONE
        return _run(folder, options, wanted, recording)
    except (RecordingFault, MicrophoneFault, SoundFileFault) as fault:
        print(fault, file=sys.stderr)
        return FAULT


def _agrees(words: Vocabulary, wanted: Sequence[Piece], folder: Path) -> bool:
    """Consent can't be given by an option: it is asked for every time, and only a whole "yes" will do."""
    reading = sum(piece.command is None for piece in wanted)
    seconds = WORD_S * (len(wanted) - reading) + READING_S * reading
    print(
        ABOUT.format(
            words=len(words.wordings),
            times=TIMES,
            reading=f", and {reading} short sentences" if reading else "",
            minutes=max(1, round(seconds / 60)),
            folder=folder.absolute(),
        )
    )
    return agrees()


def _run(folder: Path, options: Namespace, wanted: Sequence[Piece], recording: Recording) -> int:
    device, blocks = source(options)
    try:
        recording.begin(device, date.today())
        with guide() as shown:
            _guide(blocks, wanted, recording, shown)
    except OSError as error:
        print(
            f"The recording can't be kept ({error.strerror or error}). {_so_far(recording, wanted, folder)}",
            file=sys.stderr,
        )
        return FAULT
    except MicrophoneFault as fault:
        print(f"{fault} {_so_far(recording, wanted, folder)}", file=sys.stderr)
        return FAULT
    except KeyboardInterrupt:
        print(f"Stopped. {_so_far(recording, wanted, folder)}")
        return DONE
    finally:
        blocks.close()
    print(_so_far(recording, wanted, folder))
    return DONE


def _guide(blocks: Iterator[np.ndarray], wanted: Sequence[Piece], recording: Recording, shown: Guide) -> None:
    """Through all that hasn't been said yet, or to the end of the sound."""
    cutter = measured_room(blocks, shown)
    if cutter is None:
        return
    for piece in recording.missing():
        shown.ask(piece, wanted.index(piece) + 1, len(wanted))
        sound = said(piece, cutter, blocks, shown)
        if sound is None:
            return
        recording.keep(piece, sound)


def measured_room(blocks: Iterator[np.ndarray], shown: Guide) -> Cutter | None:
    """A cutter that knows the room; None when the sound has ended."""
    cutter = Cutter()
    shown.note("Quiet for a moment, please: the room is measured.")
    heard = 0
    while heard < ROOM_S * RATE_HZ:
        block = next(blocks, None)
        if block is None:
            return None
        heard += len(block)
        cutter.push(block)
        cutter.next_clip()
        shown.level(cutter.level_db)
    shown.note("")
    return cutter


def said(piece: Piece, cutter: Cutter, blocks: Iterator[np.ndarray], shown: Guide) -> np.ndarray | None:
    """What was said when it was asked for; None when the sound has ended."""
    rest, longest = (READING_REST_S, READING_LONGEST_S) if piece.command is None else (WORD_REST_S, WORD_LONGEST_S)
    cutter.wait_for(rest, longest)
    tries, told = 0, False
    while True:
        clip = cutter.next_clip()
        if clip is None:
            block = next(blocks, None)
            if block is None:
                return None
            cutter.push(block)
            shown.level(cutter.level_db)
            if not told and cutter.waited_s > PATIENCE_S:
                shown.note("Nothing was heard yet: say it when you like; if the bar hardly moves, speak louder.")
                told = True
            continue
        tries += 1
        if clip.level is Level.GOOD or (clip.level is not Level.LONG and tries >= MOST_TRIES):
            shown.note("")
            return clip.sound
        shown.note(AGAIN[clip.level])
        cutter.wait_for(rest, longest)


class Blocks:
    """Sound in blocks, from what may have to be given back."""

    def __init__(self, blocks: Iterator[np.ndarray], microphone: Microphone | None = None) -> None:
        self._blocks = blocks
        self._microphone = microphone

    def __iter__(self) -> Iterator[np.ndarray]:
        return self

    def __next__(self) -> np.ndarray:
        return next(self._blocks)

    def close(self) -> None:
        """Give it back."""
        if self._microphone is not None:
            self._microphone.close()


def source(options: Namespace) -> tuple[str, Blocks]:
    """Where the sound comes from, by name, and the sound; raises SoundFileFault and MicrophoneFault."""
    if options.from_audio:
        sound = read_sound_file(options.from_audio)
        after = np.zeros(round((READING_REST_S + BLOCK_S) * RATE_HZ), np.int16)
        size = round(BLOCK_S * RATE_HZ)
        whole = np.concatenate([sound, after])
        name = f"sound file {options.from_audio.name}"
        return name, Blocks(whole[at : at + size] for at in range(0, len(whole), size))
    microphone = Microphone(setting.device(options.microphone))
    return microphone.name, Blocks(_heard(microphone), microphone)


def _heard(microphone: Microphone) -> Iterator[np.ndarray]:
    while True:
        block = microphone.read(BLOCK_S)
        if block is not None:
            yield block
        if microphone.finished or microphone.stalled_for(time.monotonic()) > STALLED_S:
            raise MicrophoneFault("The microphone has gone.")


def _so_far(recording: Recording, wanted: Sequence[Piece], folder: Path) -> str:
    missing = len(recording.missing())
    if not missing:
        return _whole(wanted, folder)
    return f"{len(wanted) - missing} of {len(wanted)} are kept in {folder}; ask again to go on."


def _whole(wanted: Sequence[Piece], folder: Path) -> str:
    return f"All {len(wanted)} are kept in {folder}. To say one again, delete its file and ask again."
