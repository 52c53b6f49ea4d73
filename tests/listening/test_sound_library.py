"""PortAudio, loaded or not: what is told in its place, and that its traps don't end the process."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
ASK = """
from companion import sound_library
try:
    print(bool(sound_library.portaudio().query_devices) and "loaded")
except sound_library.SoundLibraryFault as fault:
    print(fault)
sound_library.look_again()
"""


def told_with(alsa: str, folder: Path) -> str:
    """What a new process says about PortAudio with this text as the whole ALSA configuration."""
    config = folder / "alsa.conf"
    config.write_text(alsa, encoding="utf-8")
    own = {"ALSA_CONFIG_PATH": str(config), "PULSE_SERVER": f"unix:{folder / 'none'}"}
    done = subprocess.run(
        [sys.executable, "-c", ASK], cwd=ROOT, env=os.environ | own, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, f"PortAudio ended the process: {done}"
    return done.stdout.strip()


class TestAlsaConfigurations:
    """Each of them, given to PortAudio 19.6 itself, ends the process or raises while sounddevice is imported."""

    @pytest.mark.parametrize(
        "alsa",
        [
            "",
            "defaults.pcm.card 0\n",
            "pcm {\n}\n",
            "pcm.hw {\n type hw\n card 0\n}\n",
            'pcm.plughw {\n type plug\n slave.pcm "null"\n}\npcm.null {\n type null\n}\n',
        ],
    )
    def test_one_that_names_no_device_is_told(self, alsa: str, tmp_path: Path) -> None:
        if any(Path("/proc/asound").glob("card[0-9]*")):
            alsa = f"{alsa}pcm.card_of_this_machine {{\n type hw\n card 0\n}}\n"
            assert told_with(alsa, tmp_path) == "loaded"
        else:
            assert told_with(alsa, tmp_path).startswith("the ALSA configuration names no device (")

    def test_one_that_can_t_be_read_is_told(self, tmp_path: Path) -> None:
        assert told_with("pcm.x {\n type pulse\n}\n}}}}", tmp_path).startswith("PortAudio can't begin (")

    @pytest.mark.parametrize("alsa", ["pcm.!default {\n type pulse\n}\n", "pcm.nothing {\n type hw\n card 99\n}\n"])
    def test_one_whose_devices_are_all_out_of_reach_does_no_harm(self, alsa: str, tmp_path: Path) -> None:
        assert told_with(alsa, tmp_path) == "loaded"
