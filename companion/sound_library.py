"""PortAudio, through sounddevice: loaded only when sound is wanted, or one sentence that says what is missing.

Rules
- PortAudio ends the whole process where the ALSA configuration names nothing that it could list. So the configuration
  is looked at first, with ALSA's own library: about a millisecond, where trying it in a child process takes 200.
- PortAudio's list of devices is as old as its beginning. `look_again` makes it anew, which no open stream survives: it
  is made only while no stream of ours is open.
- A stream of a sound server that hangs can't be closed. `close` leaves it behind after a while, and `leave` keeps it
  from holding up the end of the program.
"""

from __future__ import annotations

import atexit
import contextlib
import ctypes
import sys
import threading
from pathlib import Path
from typing import Any

CLOSE_S = 1.0
"""How long closing a stream may take before it is left to itself."""
NOT_LISTED = frozenset({"hw", "plughw", "plug", "dsnoop", "tee", "file", "null", "shm", "cards", "rate_convert"})
"""Names in an ALSA configuration that PortAudio 19.6 passes over (pa_linux_alsa.c, ignoredPlugins)."""

_open_streams: set[int] = set()


class SoundLibraryFault(Exception):  # noqa: N818 - a fault is what the user is told of
    """There is no PortAudio. The message is the second half of a sentence: what is missing and what brings it."""


def portaudio() -> Any:
    """The module sounddevice.

    Raises:
        SoundLibraryFault: the package, PortAudio itself or every device is missing.
    """
    if "sounddevice" not in sys.modules and not _alsa_names_a_device():
        raise SoundLibraryFault(
            "the ALSA configuration names no device (Debian, Ubuntu: apt install libasound2-data libasound2-plugins)"
        )
    try:
        import sounddevice
    except ImportError:
        raise SoundLibraryFault("the Python package sounddevice is not installed (pip install sounddevice)") from None
    except OSError:
        raise SoundLibraryFault(
            "the PortAudio library is missing; the package libportaudio2 brings it "
            "(Debian, Ubuntu: apt install libportaudio2)"
        ) from None
    except Exception as error:  # PortAudioError, from the module that couldn't be loaded
        raise SoundLibraryFault(f"PortAudio can't begin ({first_line(error)})") from None
    return sounddevice


def opened(stream: Any) -> None:
    """Remember an open stream, so that `look_again` leaves it in peace."""
    _open_streams.add(id(stream))


def close(stream: Any) -> None:
    """Close a stream, whatever became of its device: never raises, never takes longer than CLOSE_S."""

    def close_it() -> None:
        # A vanished device may raise anything; there is nothing left to save.
        with contextlib.suppress(Exception):
            stream.abort(ignore_errors=True)
            stream.close(ignore_errors=True)
        _open_streams.discard(id(stream))

    closing = threading.Thread(target=close_it, name="close a stream", daemon=True)
    closing.start()
    closing.join(CLOSE_S)


def look_again() -> None:
    """Let PortAudio look for devices anew; does nothing while a stream is open or PortAudio isn't loaded."""
    sounddevice = sys.modules.get("sounddevice")
    if sounddevice is None or _open_streams or not _alsa_names_a_device():
        return
    with contextlib.suppress(Exception):  # without PortAudio at all, opening a device says so
        sounddevice._terminate()
        sounddevice._initialize()


def leave() -> None:
    """Before the program ends: PortAudio would wait at exit for a stream that can't be closed."""
    sounddevice = sys.modules.get("sounddevice")
    if sounddevice is not None and _open_streams:
        atexit.unregister(sounddevice._exit_handler)


def first_line(error: Exception) -> str:
    """The first line of an error's message, without a full stop."""
    return (str(error).splitlines() or ["unknown reason"])[0].strip().rstrip(".")


def _alsa_names_a_device() -> bool:
    """False where PortAudio would find nothing to list, and end the process; True also where nobody knows."""
    if not sys.platform.startswith("linux") or any(Path("/proc/asound").glob("card[0-9]*")):
        return True
    try:
        return bool(_alsa_names() - NOT_LISTED)
    except (OSError, AttributeError, ValueError):
        return True


def _alsa_names() -> set[str]:
    """The names under "pcm" in the ALSA configuration.

    Raises:
        OSError, AttributeError, ValueError: no ALSA library, one without these functions, no readable configuration.
    """
    alsa = ctypes.CDLL("libasound.so.2")
    for name in ("snd_config_iterator_first", "snd_config_iterator_next", "snd_config_iterator_end"):
        getattr(alsa, name).restype = ctypes.c_void_p
        getattr(alsa, name).argtypes = [ctypes.c_void_p]
    alsa.snd_config_iterator_entry.restype = ctypes.c_void_p
    alsa.snd_config_iterator_entry.argtypes = [ctypes.c_void_p]
    alsa.snd_config_get_id.argtypes = [ctypes.c_void_p, ctypes.POINTER(ctypes.c_char_p)]
    alsa.snd_config_search.argtypes = [ctypes.c_void_p, ctypes.c_char_p, ctypes.POINTER(ctypes.c_void_p)]
    if alsa.snd_config_update() < 0:
        raise ValueError("PortAudio meets the same fault, and tells it")
    top, names = ctypes.c_void_p.in_dll(alsa, "snd_config"), ctypes.c_void_p()
    if not top or alsa.snd_config_search(top, b"pcm", ctypes.byref(names)) < 0:
        return set()
    found = set()
    at, end = alsa.snd_config_iterator_first(names), alsa.snd_config_iterator_end(names)
    while at != end:
        text = ctypes.c_char_p()
        alsa.snd_config_get_id(alsa.snd_config_iterator_entry(at), ctypes.byref(text))
        found.add((text.value or b"").decode(errors="replace"))
        at = alsa.snd_config_iterator_next(at)
    return found
