"""Rendering brings a voice's folder up to date: what is new or changed is made, what is gone is deleted."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from companion.speaking.clips import SPEEDS, ClipVoice
from companion.speaking.phrasebook import Phrasebook
from companion.speaking.render import main, render_all
from companion.speaking.rendering import RenderingVoice, open_voice
from companion.speaking.sound import RATE, Samples

BOOK = Phrasebook("en", {"turned": "Turned.", "take_ring": "Take ring.", "comma": ","}, {"7": "seven"})


@pytest.fixture(scope="module")
def hibari() -> RenderingVoice:
    return open_voice("hibari", "en")


@pytest.fixture
def rendered(tmp_path: Path, hibari: RenderingVoice) -> Path:
    """A folder with the clips of the small phrasebook, by the voice that renders the shipped ones."""
    assert render_all(BOOK, tmp_path / "hibari", hibari) == 3
    return tmp_path / "hibari"


def test_the_natural_voice_renders_a_clip_for_each_text_and_speed(rendered: Path) -> None:
    clips = ClipVoice(rendered, BOOK)
    for speed in SPEEDS:
        assert sorted(path.name for path in (rendered / speed).iterdir()) == [
            "number_7.ogg",
            "take_ring.ogg",
            "turned.ogg",
        ]
        assert clips.sound("Take ring.", speed) is not None


def test_only_what_changed_is_rendered_again(rendered: Path, hibari: RenderingVoice) -> None:
    said: list[str] = []

    def noting(text: str, pace: float) -> Samples:
        said.append(text)
        return hibari.say(text, pace)

    changed = replace(BOOK, phrases={"turned": "Turned over.", "take_ring": "Take ring."})
    assert render_all(changed, rendered, replace(hibari, say=noting)) == 1
    assert set(said) == {"Turned over."}
    assert ClipVoice(rendered, changed).sound("Turned over.", "fast") is not None


def test_clips_of_words_that_are_gone_are_deleted(rendered: Path, hibari: RenderingVoice) -> None:
    render_all(replace(BOOK, numbers={}), rendered, hibari)
    assert not list(rendered.rglob("number_7.ogg"))


def test_the_tool_says_in_one_sentence_what_is_wrong(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "en").mkdir()
    (tmp_path / "en" / "phrasebook.toml").write_text("language = 'en'\n[phrases.a]\nb = 7\n")
    assert main(["--prompts", str(tmp_path)]) == 1
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert 'line 3: the phrase "b" must be a text' in told


SPOKEN = """
language = "en"
[say_words_as.espeak]
ring = "wring"
[phrases.a]
take_ring = "Take ring."
"""


def with_language(prompts: Path, code: str) -> Path:
    (prompts / code).mkdir()
    (prompts / code / "phrasebook.toml").write_text(SPOKEN.replace('"en"', f'"{code}"'), encoding="utf-8")
    return prompts / code


def test_without_options_every_voice_of_every_language_is_brought_up_to_date(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for code in ("en", "it"):
        assert (
            main(["--prompts", str(tmp_path), "--language", with_language(tmp_path, code).name, "--voice", "espeak"])
            == 0
        )
    gone = [tmp_path / code / "voices" / "espeak" / "slow" / "take_ring.ogg" for code in ("en", "it")]
    for clip in gone:
        clip.unlink()
    (tmp_path / "en" / "voices" / "mara").mkdir()  # a person's recordings are left alone
    capsys.readouterr()
    assert main(["--prompts", str(tmp_path)]) == 0
    assert all(clip.exists() for clip in gone)
    assert [line.split(",")[0] for line in capsys.readouterr().out.splitlines()] == ["1 clips rendered"] * 2
    assert not list((tmp_path / "en" / "voices" / "mara").iterdir())


def test_a_respelling_for_one_voice_is_given_to_that_voice(tmp_path: Path) -> None:
    """The manifest keeps what the voice was given."""
    folder = with_language(tmp_path, "en") / "voices" / "espeak"
    assert main(["--prompts", str(tmp_path), "--language", "en", "--voice", "espeak"]) == 0
    manifest = (folder / "manifest.json").read_text(encoding="utf-8")
    assert '"take_ring": {"text": "Take ring.", "say_as": "Take wring."}' in manifest
    assert '"voice": "espeak-ng 1.' in manifest


def test_a_voice_that_speaks_english_only_says_so_for_another_language(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with_language(tmp_path, "it")
    assert main(["--prompts", str(tmp_path), "--language", "it", "--voice", "rms"]) == 1
    assert capsys.readouterr().err == 'The voice rms speaks English only; for "it" there is --voice espeak.\n'


def test_the_second_voice_says_a_text_always_alike_and_faster_when_asked() -> None:
    rms = open_voice("rms", "en")
    usual = rms.say("Take ring.", 1.0)
    assert (usual == rms.say("Take ring.", 1.0)).all()
    assert 0.4 * RATE < len(rms.say("Take ring.", 1.25)) < 0.95 * len(usual)
