"""The speech engine behind pyttsx3 (here espeak-ng): rendered once, kept, and never waited for too long."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

import numpy as np
import pytest

from companion.speaking import engine_child
from companion.speaking.engine import CHILD, EngineVoice, VoiceFault
from companion.speaking.sound import RATE

WORDING = "Lift the loop gently over the others."
HANGS = (sys.executable, "-c", "import os, time; open('pid', 'w').write(str(os.getpid())); time.sleep(600)")
BUSY_MACHINE = f"""
import runpy
from pyttsx3.drivers import _espeak as espeak

waiting, take_up, synchronize, speak = [], espeak.SetParameter, espeak.Synchronize, espeak.Synth

def get_to_them():
    while waiting:
        take_up(*waiting.pop(0))
    synchronize()

def synth(*arguments, **named):
    get_to_them()
    return speak(*arguments, **named)

espeak.SetParameter = lambda *setting: waiting.append(setting)
espeak.IsPlaying = lambda: bool(waiting)
espeak.Cancel = waiting.clear
espeak.Synchronize = get_to_them
espeak.Synth = synth
runpy.run_path({engine_child.__file__!r}, run_name="__main__")
"""
"""espeak whose thread gets to a setting only when it is waited for, or when the text comes."""
NEVER = (sys.executable, "-c", "raise SystemExit('nothing may be rendered')")


def alive(pid: int) -> bool:
    """Whether a process of that number runs (a zombie doesn't)."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except FileNotFoundError:
        return False


class TestRendering:
    def test_makes_speech_at_24_khz_as_loud_as_the_clips(self, tmp_path: Path) -> None:
        samples = EngineVoice(tmp_path).sound(WORDING, "normal")
        assert samples.dtype == np.float32
        assert 1.0 < len(samples) / RATE < 4.0
        assert 0.03 < float(np.sqrt(np.mean(samples**2))) < 0.12
        assert np.abs(samples).max() < 0.95

    def test_is_slower_and_faster(self, tmp_path: Path) -> None:
        engine = EngineVoice(tmp_path)
        slow, normal, fast = (len(engine.sound(WORDING, speed)) for speed in ("slow", "normal", "fast"))
        assert slow > 1.1 * normal > 1.1 * 1.1 * fast

    @pytest.mark.parametrize("language", ["en", "de"])
    def test_is_as_fast_as_asked_for_on_a_busy_machine(self, tmp_path: Path, language: str) -> None:
        busy = (sys.executable, "-c", BUSY_MACHINE)
        lengths = [
            len(EngineVoice(tmp_path / str(number), language=language, command=command).sound(WORDING, "slow"))
            for number, command in enumerate([CHILD, busy])
        ]
        assert lengths[0] == lengths[1]

    def test_speaks_the_language_it_is_asked_for(self, tmp_path: Path) -> None:
        text = "Die Schlaufe durchziehen"
        german, english = (EngineVoice(tmp_path, language=code).sound(text, "normal") for code in ("de", "en"))
        assert len(german) != len(english)

    @pytest.mark.parametrize("text", ["- -x --help", "<b>loop & loop</b>", "Schlaufe, größer: 編む", "a" * 300])
    def test_takes_any_wording(self, tmp_path: Path, text: str) -> None:
        assert len(EngineVoice(tmp_path).sound(text, "fast")) > 0

    def test_prints_nothing(self, tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
        EngineVoice(tmp_path).sound(WORDING, "normal")
        assert capfd.readouterr() == ("", "")


class TestCache:
    def test_a_text_is_rendered_once(self, tmp_path: Path) -> None:
        first = EngineVoice(tmp_path).sound(WORDING, "normal")
        kept = EngineVoice(tmp_path, command=NEVER).sound(WORDING, "normal")
        assert np.abs(first - kept).max() < 1e-4

    def test_another_speed_language_or_voice_is_another_sound(self, tmp_path: Path) -> None:
        EngineVoice(tmp_path).sound(WORDING, "normal")
        assert EngineVoice(tmp_path).is_ready(WORDING, "normal")
        assert not EngineVoice(tmp_path).is_ready(WORDING, "slow")
        assert not EngineVoice(tmp_path, language="de").is_ready(WORDING, "normal")
        assert not EngineVoice(tmp_path, voice="gmw/en-us").is_ready(WORDING, "normal")

    @pytest.mark.parametrize("content", [b"", b"RIFF", b"damaged" * 50])
    def test_a_damaged_file_is_rendered_anew(self, tmp_path: Path, content: bytes) -> None:
        engine = EngineVoice(tmp_path)
        engine.cached_path(WORDING, "normal").write_bytes(content)
        assert len(engine.sound(WORDING, "normal")) > RATE

    def test_nothing_but_whole_sounds_is_kept(self, tmp_path: Path) -> None:
        EngineVoice(tmp_path).sound(WORDING, "normal")
        assert [path.suffix for path in tmp_path.iterdir()] == [".wav"]

    def test_a_cache_that_cannot_be_written_costs_only_time(self, tmp_path: Path) -> None:
        in_the_way = tmp_path / "file"
        in_the_way.write_text("no folder")
        assert len(EngineVoice(in_the_way / "cache").sound(WORDING, "normal")) > RATE

    def test_two_at_the_same_time_do_not_disturb_each_other(self, tmp_path: Path) -> None:
        lengths: list[int] = []

        def render() -> None:
            lengths.append(len(EngineVoice(tmp_path).sound(WORDING, "normal")))

        threads = [threading.Thread(target=render) for _ in range(3)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert len(set(lengths)) == 1
        assert len(lengths) == 3


class TestAhead:
    def test_texts_are_ready_before_they_are_wanted(self, tmp_path: Path) -> None:
        engine = EngineVoice(tmp_path)
        engine.prepare(["one wording", "another wording"], "slow")
        assert engine.wait_prepared(20)
        assert engine.is_ready("one wording", "slow")
        assert engine.is_ready("another wording", "slow")

    def test_returns_at_once_and_a_fault_is_not_raised_there(self, tmp_path: Path) -> None:
        engine = EngineVoice(tmp_path, timeout_s=0.3, command=HANGS)
        began = time.monotonic()
        engine.prepare(["a", "b"])
        assert time.monotonic() - began < 0.25
        assert engine.wait_prepared(10)

    def test_more_can_be_asked_for_later(self, tmp_path: Path) -> None:
        engine = EngineVoice(tmp_path)
        for text in ("first", "second"):
            engine.prepare([text])
            assert engine.wait_prepared(20)
        assert engine.is_ready("second", "normal")

    def test_nothing_more_is_rendered_after_closing(self, tmp_path: Path) -> None:
        engine = EngineVoice(tmp_path)
        engine.close()
        engine.prepare(["late"])
        assert engine.wait_prepared(20)
        assert not engine.is_ready("late", "normal")


class TestFaults:
    def test_a_hanging_engine_is_killed_in_time(self, tmp_path: Path) -> None:
        note = tmp_path / "pid"
        hangs = (sys.executable, "-c", HANGS[2].replace("'pid'", repr(str(note))))
        began = time.monotonic()
        with pytest.raises(VoiceFault, match=r"did not answer within 1\.5 seconds and was ended"):
            EngineVoice(tmp_path / "cache", timeout_s=1.5, command=hangs).sound(WORDING, "normal")
        assert time.monotonic() - began < 4
        assert not alive(int(note.read_text()))

    def test_an_engine_that_hangs_twice_is_not_asked_again(self, tmp_path: Path) -> None:
        engine = EngineVoice(tmp_path, timeout_s=0.3, command=HANGS)
        for _ in range(2):
            with pytest.raises(VoiceFault):
                engine.sound(WORDING, "normal")
        began = time.monotonic()
        with pytest.raises(VoiceFault, match="did not answer"):
            engine.sound("another", "normal")
        assert time.monotonic() - began < 0.1

    def test_a_child_whose_parent_was_killed_ends_by_itself(self, tmp_path: Path) -> None:
        stuck = tmp_path / "stuck.py"
        stuck.write_text(
            f"import runpy, sys, time\nsys.path.insert(0, {str(tmp_path)!r})\n"
            f"runpy.run_path({engine_child.__file__!r}, run_name='__main__')\n"
        )
        (tmp_path / "pyttsx3.py").write_text("import time\ndef init(driver):\n    time.sleep(600)\n")
        child = subprocess.Popen([sys.executable, str(stuck)], stdin=subprocess.PIPE)
        assert child.stdin is not None
        child.stdin.write(json.dumps({"text": "a", "path": "b", "deadline_s": 0.5}).encode())
        child.stdin.close()
        assert child.wait(timeout=10) == engine_child.TOO_LATE

    def test_without_an_engine_the_package_that_brings_one_is_named(self, tmp_path: Path) -> None:
        hidden = (
            "import ctypes, runpy\n"
            "def none(path): raise OSError(path)\n"
            "ctypes.cdll.LoadLibrary = none\n"
            f"runpy.run_path({engine_child.__file__!r}, run_name='__main__')"
        )
        engine = EngineVoice(tmp_path, command=(sys.executable, "-c", hidden))
        with pytest.raises(VoiceFault) as fault:
            engine.sound(WORDING, "normal")
        assert str(fault.value) == (
            "No speech engine was found; the package espeak-ng brings one (Debian, Ubuntu: apt install espeak-ng)."
        )

    def test_without_pyttsx3_that_package_is_named(self, tmp_path: Path) -> None:
        without_packages = (sys.executable, "-S", "-P", engine_child.__file__)
        with pytest.raises(VoiceFault, match="pip install pyttsx3"):
            EngineVoice(tmp_path, command=without_packages).sound(WORDING, "normal")

    def test_an_unknown_driver_counts_as_no_engine(self, tmp_path: Path) -> None:
        with pytest.raises(VoiceFault, match="espeak-ng"):
            EngineVoice(tmp_path, driver="nosuchdriver").sound(WORDING, "normal")

    @pytest.mark.parametrize("command", [(sys.executable, "-c", "pass"), (sys.executable, "-c", "raise SystemExit(9)")])
    def test_an_engine_that_saves_nothing_is_noticed(self, tmp_path: Path, command: tuple[str, ...]) -> None:
        with pytest.raises(VoiceFault, match=r"stays on the screen\.$"):
            EngineVoice(tmp_path, command=command).sound(WORDING, "normal")

    def test_a_process_that_cannot_be_started(self, tmp_path: Path) -> None:
        with pytest.raises(VoiceFault, match="could not be started"):
            EngineVoice(tmp_path, command=(str(tmp_path / "nothing"),)).sound(WORDING, "normal")

    def test_nothing_is_left_in_the_temporary_folder(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        place = tmp_path / "temporary"
        place.mkdir()
        monkeypatch.setattr(tempfile, "tempdir", os.fspath(place))
        EngineVoice(tmp_path / "cache").sound(WORDING, "normal")
        with pytest.raises(VoiceFault):
            EngineVoice(tmp_path / "cache", timeout_s=0.3, command=HANGS).sound("another", "normal")
        assert list(place.iterdir()) == []
