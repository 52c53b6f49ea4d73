"""Rendering brings a voice's folder up to date: what is new or changed is made, what is gone is deleted."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from companion.speaking.clips import SPEEDS, ClipVoice
from companion.speaking.phrasebook import Phrasebook
from companion.speaking.render import hibari_voice, main, render_all

BOOK = Phrasebook("en", {"turned": "Turned.", "take_ring": "Take ring.", "comma": ","}, {"7": "seven"})


@pytest.fixture
def rendered(tmp_path: Path) -> Path:
    """A folder with the clips of the small phrasebook, by the voice that renders the shipped ones."""
    say, name = hibari_voice()
    assert render_all(BOOK, tmp_path, say, name) == 3
    return tmp_path


def test_the_natural_voice_renders_a_clip_for_each_text_and_speed(rendered: Path) -> None:
    clips = ClipVoice(rendered, BOOK)
    for speed in SPEEDS:
        assert sorted(path.name for path in (rendered / speed).iterdir()) == [
            "number_7.ogg",
            "take_ring.ogg",
            "turned.ogg",
        ]
        assert clips.sound("Take ring.", speed) is not None


def test_only_what_changed_is_rendered_again(rendered: Path) -> None:
    say, name = hibari_voice()
    said: list[str] = []

    def noting(text: str, pace: float) -> object:
        said.append(text)
        return say(text, pace)

    changed = replace(BOOK, phrases={"turned": "Turned over.", "take_ring": "Take ring."})
    assert render_all(changed, rendered, noting, name) == 1
    assert set(said) == {"Turned over."}
    assert ClipVoice(rendered, changed).sound("Turned over.", "fast") is not None


def test_clips_of_words_that_are_gone_are_deleted(rendered: Path) -> None:
    say, name = hibari_voice()
    render_all(replace(BOOK, numbers={}), rendered, say, name)
    assert not list(rendered.rglob("number_7.ogg"))


def test_the_tool_says_in_one_sentence_what_is_wrong(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "en").mkdir()
    (tmp_path / "en" / "phrasebook.toml").write_text("language = 'en'\n[phrases.a]\nb = 7\n")
    assert main(["--prompts", str(tmp_path)]) == 1
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert 'line 3: the phrase "b" must be a text' in told
