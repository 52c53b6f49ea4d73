"""One text through pyttsx3 into one sound file, in a process of its own that may be killed.

Run as a script; the request is one JSON object on standard input: text, path, rate (words a minute),
language, and optionally driver, voice and deadline_s. A speech engine can hang, print, or return
before it has finished, so each process has one engine, saves one text and is then gone; it also ends
by itself at its deadline, should its parent have been killed. The exit status tells what was wrong.
"""

from __future__ import annotations

import json
import os
import sys
import threading
import time
import wave
from pathlib import Path
from typing import Any

LOOK_S, EMPTY_LOOKS = 0.01, 50
WAV_HEADER = 44
"""Bytes before the samples in the shortest WAV file (RIFF, fmt and data chunk heads)."""
SAVED, NO_PACKAGE, NO_ENGINE, NOT_SAVED, TOO_LATE, NO_VOICE = 0, 10, 11, 12, 13, 14


def main() -> int:
    """Save the requested text; returns the exit status."""
    request = json.load(sys.stdin)
    _end_at(float(request.get("deadline_s", 30)))
    try:
        import pyttsx3
    except ImportError:
        return NO_PACKAGE
    try:
        engine = pyttsx3.init(request.get("driver"))
    except Exception:  # whatever a driver raises, it can't be used
        return NO_ENGINE
    try:
        if not _choose_voice(engine, request.get("voice"), request["language"]):
            return NO_VOICE
        engine.setProperty("rate", request["rate"])
        _carry_out_settings(engine)
        engine.save_to_file(request["text"], request["path"])
        engine.runAndWait()
    except Exception:
        return NOT_SAVED
    if espeak := _espeak():
        espeak.Synchronize()
    else:
        _wait_until_whole(Path(request["path"]))
    return SAVED


def _espeak() -> Any:
    """pyttsx3's door to the espeak library, where that is the engine; else None."""
    return sys.modules.get("pyttsx3.drivers._espeak")


def _carry_out_settings(engine: Any) -> None:
    """Have espeak take up voice and rate before there is a text.

    The driver hands the settings to a thread of espeak's, and cancels whatever that thread hasn't got to
    before it hands it the text: on a busy machine the text was then spoken at espeak's own rate.
    """
    if espeak := _espeak():
        engine.proxy.setBusy(False)  # what is queued is carried out now
        espeak.Synchronize()
        engine.proxy.setBusy(True)


def _wait_until_whole(path: Path) -> None:
    """Wait for an engine that goes on in a thread of its own after it has returned; the deadline ends it.

    The file is whole when it holds as many bytes as its header says. An empty sound is given some time
    to be more than that; what is no WAV file is judged by the parent.
    """
    empty_for = 0
    while empty_for < EMPTY_LOOKS:
        try:
            with wave.open(str(path), "rb") as file:
                said = file.getnframes() * file.getnchannels() * file.getsampwidth()
            if said and path.stat().st_size >= WAV_HEADER + said:
                return
            empty_for += not said
        except (FileNotFoundError, EOFError):
            pass
        except wave.Error:
            return
        time.sleep(LOOK_S)


def _end_at(deadline_s: float) -> None:
    """End this process after so many seconds, whatever the engine does."""
    timer = threading.Timer(deadline_s, os._exit, (TOO_LATE,))
    timer.daemon = True
    timer.start()


def _choose_voice(engine: Any, voice: str | None, language: str) -> bool:
    """The voice asked for; otherwise the engine's own if it speaks the language, else the first that does.

    False where the engine tells its voices' languages and none is this one: words read by the rules of another language
    can't be understood.
    """
    if voice is None:
        voices = list(engine.getProperty("voices") or ())
        speakers = [one for one in voices if language in _languages(one)]
        if not speakers:
            return not any(map(_languages, voices))
        if engine.getProperty("voice") in {one.id for one in speakers}:
            return True
        voice = speakers[0].id
    engine.setProperty("voice", voice)
    return True


def _languages(voice: Any) -> set[str]:
    """The languages of an engine's voice without their regions: "en-GB" and b"\\x05en" count as "en"."""
    tags = (tag.decode("ascii", "ignore") if isinstance(tag, bytes) else str(tag) for tag in voice.languages or ())
    return {tag.strip("\x00\x01\x02\x03\x04\x05 ").replace("_", "-").split("-")[0].lower() for tag in tags}


if __name__ == "__main__":
    sys.exit(main())
