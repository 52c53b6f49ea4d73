"""Who reads the words: a shipped voice or the user's own, kept until another is chosen; what it lacks another says."""

from __future__ import annotations

import shutil

import numpy as np
import pytest

from companion import library
from companion.practice.prompt import Phrase, Prompt
from companion.session import setting
from companion.session.keeper import Keeper
from companion.session.reader import clips, of_command, of_session, own_voices, readers, voice
from companion.session.usage import UsageFault
from companion.speaking.clips import SPEEDS, ClipVoice, clip_words
from companion.speaking.render import write_clip, write_manifest
from companion.speaking.sound import RATE

HIBARI = library.prompt_folder() / "en" / "voices" / "hibari"


@pytest.fixture(autouse=True)
def home(tmp_path, monkeypatch):
    monkeypatch.setenv("COMPANION_HOME", str(tmp_path))
    return tmp_path


def note_of(pitch_hz):
    return np.sin(2 * np.pi * pitch_hz * np.arange(RATE // 2) / RATE).astype(np.float32)


@pytest.fixture
def mara():
    """A voice of the user's own that has said one phrase: a plain note."""
    folder = own_voices("en") / "mara"
    book = setting.phrasebook()
    for speed in SPEEDS:
        (folder / speed).mkdir(parents=True)
        write_clip(folder / speed / "turned.ogg", note_of(440))
    head = {"voice": "mara", "language": "en", "licence": "her own", "origin": "Spoken by mara."}
    write_manifest(folder, head, {"turned": clip_words(book, "turned", "mara")})
    return folder


def pitch_of(samples):
    return float(np.argmax(np.abs(np.fft.rfft(samples)))) * RATE / len(samples)


def session(asked=None, code="en"):
    """The reader of a session for which this is asked, and what it was told."""
    notes = []
    keeper = Keeper(setting.data(), notes.append)
    try:
        return of_session(asked, code, keeper, notes), notes
    finally:
        keeper.close()


def test_shipped_voices_and_ones_own_are_there_by_name_the_usual_one_first(mara):
    assert next(iter(readers("en"))) == "hibari"
    assert readers("en")["mara"] == mara


def test_hibari_reads_where_nobody_was_chosen(mara):
    assert session() == ("hibari", [])


def test_who_was_chosen_is_kept_for_this_language_until_another_is_chosen(mara):
    assert session("mara")[0] == "mara"
    assert session() == ("mara", [])
    assert of_command(None, "en") == "mara"
    assert session(code="it")[0] != "mara"
    assert of_command("hibari", "en") == "hibari"
    assert session()[0] == "hibari"


def test_an_unknown_reader_is_told_with_those_that_are_there(mara):
    with pytest.raises(UsageFault, match=r'no reader "nobody" in the language "en"; there are hibari, .*mara'):
        session("nobody")


def test_a_reader_that_has_gone_is_told_and_the_usual_one_reads(mara):
    session("mara")
    shutil.rmtree(mara)
    assert session() == ("hibari", ['The reader "mara" isn\'t there any more, so hibari reads.'])


def test_what_the_reader_has_not_said_is_said_by_the_usual_one(mara):
    both = clips("en", "mara")
    own = both.sound("Turned.", "normal")
    assert pitch_of(own) == pytest.approx(440, abs=4)
    book = setting.phrasebook()
    assert np.array_equal(both.sound("Take ring.", "normal"), ClipVoice(HIBARI, book).sound("Take ring.", "normal"))


def test_a_prompt_is_put_together_of_both(mara):
    book = setting.phrasebook()
    said = voice("clips", book, "en", "mara").sound(Prompt((Phrase("take_ring"), Phrase("turned"))))
    assert said.silent == ()
    assert pitch_of(said.samples[-RATE // 3 :]) == pytest.approx(440, abs=4)


def test_origin_and_licences_of_both_are_named(mara):
    both = voice("clips", setting.phrasebook(), "en", "mara")
    assert both.origin.startswith("Spoken by mara. Rendered with the package hibari-tts")
    assert both.licence == "her own, Apache-2.0"


def test_a_language_without_any_voice_has_none():
    (setting.own_languages() / "xx").mkdir(parents=True)
    for name in ("phrasebook.toml", "vocabulary.toml"):
        shutil.copy(library.prompt_folder() / "en" / name, setting.own_languages() / "xx")
    assert readers("xx") == {}
    assert session(code="xx") == ("hibari", [])
    assert clips("xx", "hibari").sound("Turned.", "normal") is None
    with pytest.raises(UsageFault, match="there is none yet"):
        session("mara", code="xx")
