"""What is to be said in a recording, how clips are cut out of the sound, and the folder that keeps them."""

from __future__ import annotations

import json
from datetime import date

import numpy as np
import pytest
import soundfile
from session_sounds import RATE_HZ, word

from companion.listening.vocabulary import fold, read_vocabulary
from companion.session import setting
from companion.session.cutting import PADDING_S, Cutter, Level
from companion.session.recording import READING, TIMES, Recording, RecordingFault, pieces

REST_S, LONGEST_S = 0.6, 4.0
TODAY = date(2026, 5, 1)
GERMAN = 'language = "de"\n[commands]\n"next" = ["weiter", "nächster schritt"]\n"back" = ["zurück"]\n'


@pytest.fixture(scope="module")
def english():
    return setting.vocabulary(None)


# What is to be said


def test_each_wording_is_said_three_times_and_each_sentence_once(english):
    wanted = pieces(english)
    wordings = [(piece.text, piece.command) for piece in wanted if piece.command is not None]
    assert sorted(wordings) == sorted([(text, command.value) for text, command in english.wordings] * TIMES)
    assert [piece.text for piece in wanted if piece.command is None] == list(READING)
    assert len({piece.file for piece in wanted}) == len(wanted)


def test_the_order_is_mixed_and_always_the_same(english):
    wanted = pieces(english)
    words = [piece.text for piece in wanted if piece.command is not None]
    rounds = [words[at : at + len(english.wordings)] for at in range(0, len(words), len(english.wordings))]
    assert all(sorted(one) == sorted(rounds[0]) for one in rounds)
    assert len({tuple(one) for one in rounds}) == TIMES
    assert wanted == pieces(english)


def test_the_sentences_hold_no_command_word(english):
    for sentence in READING:
        read = f" {fold(''.join(sign for sign in sentence if sign.isalpha() or sign in ' ' + chr(39)))} "
        assert not [text for text, _ in english.wordings if f" {text} " in read]


def test_another_language_does_without_english_sentences():
    wanted = pieces(read_vocabulary(GERMAN, "de"))
    assert {piece.file for piece in wanted if "1" in piece.file} == {
        "weiter-1.wav",
        "nächster-schritt-1.wav",
        "zurück-1.wav",
    }
    assert all(piece.command is not None for piece in wanted)


# Cutting


def room(seconds, seed=1):
    return np.random.default_rng(seed).normal(0, 8, round(seconds * RATE_HZ)).astype(np.int16)


def cut(sound, block=800, rest_s=REST_S, longest_s=LONGEST_S):
    """All clips in a sound that comes in blocks, after a second in which the room is measured."""
    cutter = Cutter()
    cutter.push(room(1, seed=2))
    assert cutter.next_clip() is None
    cutter.wait_for(rest_s, longest_s)
    clips = []
    for at in range(0, len(sound), block):
        cutter.push(sound[at : at + block])
        while (clip := cutter.next_clip()) is not None:
            clips.append(clip)
    return clips


@pytest.mark.parametrize("text", ["no", "where am i", "pause", "yes", "next move"])
def test_a_clip_holds_the_word_and_half_a_second_of_the_room_on_both_sides(text):
    said = word(text)
    sound = np.concatenate([room(1.5), said, room(2)])
    (clip,) = cut(sound)
    assert clip.level is Level.GOOD
    begins = next(at for at in range(len(sound)) if np.array_equal(sound[at : at + 400], clip.sound[:400]))
    assert np.array_equal(sound[begins : begins + len(clip.sound)], clip.sound), "just as it was said"
    before, after = 1.5 - begins / RATE_HZ, (begins + len(clip.sound) - len(said)) / RATE_HZ - 1.5
    assert before == pytest.approx(PADDING_S, abs=0.12)
    assert after == pytest.approx(PADDING_S, abs=0.25), "the hiss of an s may lie within the padding"


def test_how_the_sound_comes_in_blocks_makes_no_difference():
    sound = np.concatenate([room(1.5), word("next"), room(1.2), word("go back"), room(1.5)])
    clips = {block: cut(sound, block) for block in (37, 320, 800, len(sound))}
    assert all(len(found) == 2 for found in clips.values())
    for found in clips.values():
        for clip, same in zip(found, clips[800], strict=True):
            assert np.array_equal(clip.sound, same.sound)


def test_a_sentence_with_a_pause_is_one_clip():
    first, second = word("Before the doors open"), word("the king's cloak must be pressed")
    sound = np.concatenate([room(1.5), first, room(0.7), second, room(2.5)])
    assert len(cut(sound, rest_s=1.2, longest_s=25)) == 1
    assert len(cut(sound)) == 2, "for a word, the same pause is its end"


def test_a_word_far_longer_than_the_ear_takes_is_kept():
    slowly = np.concatenate([word("where"), room(0.4), word("am"), room(0.4), word("I")])
    assert len(slowly) > 1.6 * RATE_HZ
    (clip,) = cut(np.concatenate([room(1.5), slowly, room(2)]))
    assert len(clip.sound) > len(slowly) + 0.8 * RATE_HZ


@pytest.mark.parametrize(
    ("louder", "level"), [(0.004, Level.QUIET), (0.1, Level.GOOD), (1.0, Level.GOOD), (4.0, Level.CLIPPED)]
)
def test_the_level_is_judged(louder, level):
    said = np.clip(word("faster").astype(float) * louder, -32768, 32767).astype(np.int16)
    quiet_room = (room(1.5) / 4).astype(np.int16)
    cutter = Cutter()
    cutter.push(quiet_room)
    cutter.next_clip()
    cutter.wait_for(REST_S, LONGEST_S)
    cutter.push(np.concatenate([said, quiet_room]))
    clip = cutter.next_clip()
    assert clip is not None
    assert clip.level is level


def test_a_click_is_no_clip():
    click = np.full(600, 9_000, np.int16)
    click[::2] *= -1
    said = word("slower")
    clips = cut(np.concatenate([room(1), click, room(1.5), said, room(2)]))
    assert [len(clip.sound) / RATE_HZ for clip in clips] == [pytest.approx(len(said) / RATE_HZ + 1, abs=0.25)]


def test_what_never_ends_is_too_long():
    talk = np.concatenate([word("She measured the green velvet twice and cut it with the large shears")] * 2)
    clips = cut(np.concatenate([room(1), talk, room(1)]))
    assert clips[0].level is Level.LONG


# The folder


def began(folder, wanted, device="default"):
    recording = Recording(folder, wanted)
    recording.begin(device, TODAY)
    return recording


def test_the_folder_says_what_each_clip_is(tmp_path, english):
    folder = tmp_path / "voices" / "mine"
    wanted = pieces(english)
    recording = began(folder, wanted)
    sound = word("next")
    spoken = next(piece for piece in wanted if piece.file == "next-1.wav")
    read = next(piece for piece in wanted if piece.file == "reading-1.wav")
    recording.keep(spoken, sound)
    recording.keep(read, sound)
    index = json.loads((folder / "recording.json").read_text(encoding="utf-8"))
    assert index["consent"].endswith("Agreed to on 2026-05-01.")
    assert {**index, "consent": ""} == {
        "format": 1,
        "rate_hz": 16000,
        "device": "default",
        "consent": "",
        "clips": [
            {"file": "next-1.wav", "wording": "next", "command": "next"},
            {"file": "reading-1.wav", "reading": READING[0]},
        ],
    }
    kept, rate = soundfile.read(folder / "next-1.wav", dtype="int16")
    assert np.array_equal(kept, sound)
    info = soundfile.info(folder / "next-1.wav")
    assert (rate, info.channels, info.subtype, info.format) == (16000, 1, "PCM_16", "WAV")
    assert sorted(path.name for path in folder.iterdir()) == ["next-1.wav", "reading-1.wav", "recording.json"]


def test_a_recording_is_taken_up_again_and_nothing_is_lost(tmp_path, english):
    wanted = pieces(english)
    folder = tmp_path / "mine"
    first = began(folder, wanted, "headset")
    for piece in wanted[:3]:
        first.keep(piece, word("next"))
    again = Recording(folder, wanted)
    assert again.missing() == wanted[3:]
    again.begin("desk microphone", date(2026, 5, 2))
    again.keep(wanted[3], word("next"))
    index = json.loads((folder / "recording.json").read_text(encoding="utf-8"))
    assert [row["file"] for row in index["clips"]] == [piece.file for piece in wanted[:4]]
    assert index["device"] == "headset; desk microphone"
    assert index["consent"].endswith("Agreed to on 2026-05-01. Agreed to on 2026-05-02.")


def test_a_clip_whose_file_was_deleted_is_asked_for_again(tmp_path, english):
    wanted = pieces(english)
    recording = began(tmp_path / "mine", wanted)
    for piece in wanted:
        recording.keep(piece, word("next"))
    (tmp_path / "mine" / wanted[7].file).unlink()
    again = Recording(tmp_path / "mine", wanted)
    assert again.missing() == [wanted[7]]
    again.begin("default", TODAY)
    again.keep(wanted[7], word("next"))
    assert Recording(tmp_path / "mine", wanted).missing() == []
    index = json.loads((tmp_path / "mine" / "recording.json").read_text(encoding="utf-8"))
    assert len(index["clips"]) == len(wanted)


def test_what_a_killed_program_had_half_written_is_cleared_away(tmp_path, english):
    wanted = pieces(english)
    folder = tmp_path / "mine"
    began(folder, wanted).keep(wanted[0], word("next"))
    for name in (f"{wanted[1].file}.part", "recording.json.part"):
        (folder / name).write_bytes(b"RIFF")
    (folder / wanted[2].file).write_bytes(b"written, but not yet in recording.json")
    again = Recording(folder, wanted)
    assert again.missing() == wanted[1:]
    again.begin("default", TODAY)
    assert sorted(path.name for path in folder.iterdir()) == sorted([wanted[0].file, wanted[2].file, "recording.json"])


def test_an_empty_folder_and_what_file_managers_leave_are_no_hindrance(tmp_path, english):
    (tmp_path / ".DS_Store").write_bytes(b"")
    (tmp_path / "Thumbs.db").write_bytes(b"")
    assert Recording(tmp_path, pieces(english)).missing() == pieces(english)


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("costs.txt", "velvet", "costs.txt"),
        ("next-1.wav", "", "next-1.wav"),
        ("recording.json", "{", "can't be read"),
        ("recording.json", "[]", "can go on with"),
        ("recording.json", '{"format": 2, "rate_hz": 16000, "device": "", "consent": "", "clips": []}', "can go on"),
        (
            "recording.json",
            '{"format": 1, "rate_hz": 16000, "device": "", "consent": "", "clips": [{"file": "../x.wav"}]}',
            "can go on",
        ),
    ],
)
def test_a_folder_with_other_things_is_refused(tmp_path, english, name, content, says):
    (tmp_path / name).write_text(content, encoding="utf-8")
    with pytest.raises(RecordingFault, match=says):
        Recording(tmp_path, pieces(english))
    assert [path.name for path in tmp_path.iterdir()] == [name]


def test_a_folder_with_a_recording_and_other_things_is_refused(tmp_path, english):
    began(tmp_path / "mine", pieces(english))
    (tmp_path / "mine" / "costs.txt").write_text("velvet", encoding="utf-8")
    with pytest.raises(RecordingFault, match=r"costs\.txt"):
        Recording(tmp_path / "mine", pieces(english))


def test_a_file_in_the_folders_place_is_refused(tmp_path, english):
    (tmp_path / "mine").write_text("", encoding="utf-8")
    with pytest.raises(RecordingFault, match="mine"):
        Recording(tmp_path / "mine", pieces(english))
