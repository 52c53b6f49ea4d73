"""``companion track``: the spoken session as a sound file, read back with soundfile, mutagen and a reader of chunks."""

from __future__ import annotations

import re
import struct
from pathlib import Path
from typing import Any, NamedTuple

import mutagen.flac
import mutagen.oggvorbis
import numpy as np
import pocketsphinx
import pytest
import scipy.fft
import soundfile
import soxr

from companion import library
from companion.cli import main
from companion.practice.cue_wording import short_prompts
from companion.practice.goal import Goal, Measure
from companion.practice.state import Pace, Plan
from companion.practice.wording import move_prompt
from companion.recipe.model import Recipe
from companion.session import reader, setting
from companion.session.mouth import Mouth
from companion.session.track_run import Said, TrackRun
from companion.speaking.pitch import at_pitch
from companion.speaking.player import ClockedPlayer
from companion.speaking.sound import RATE
from companion.speaking.voice import PITCHES

SQUARE, TEAM = "five-loop-square", "ten-loop-open-edge-two-braiders"
KINDS = ("flac", "ogg", "wav")
BEAT_S, CYCLES = 6.0, 3
NEAR_S = 0.005
TICK_S = 0.03
"""The tick of a beat, behind which its words begin."""


class Ran(NamedTuple):
    status: int
    out: str
    err: str


@pytest.fixture
def ask(capsys: Any, tmp_path: Path, monkeypatch: Any) -> Any:
    """Run the command with an empty journal; its exit status, what it printed, and its complaint."""
    monkeypatch.setenv("COMPANION_HOME", str(tmp_path / "home"))

    def ask(*words: str | Path) -> Ran:
        try:
            status = main(["track", *map(str, words)])
        except SystemExit as leaving:
            status = int(leaving.code or 0)
        printed = capsys.readouterr()
        assert "Traceback" not in printed.err
        return Ran(status, printed.out, printed.err)

    return ask


@pytest.fixture(scope="module")
def tracks(tmp_path_factory: Any) -> dict[str, Path]:
    """One track of the square cord in each format, by the end of its name."""
    folder = tmp_path_factory.mktemp("tracks")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("COMPANION_HOME", str(folder / "home"))
        for kind in KINDS:
            (folder / kind).mkdir()
            options = ("--cycles", str(CYCLES), "--seconds-per-move", str(BEAT_S), "--voice", "clips")
            assert main(["track", SQUARE, *options, "--out", str(folder / kind / f"cord.{kind}")]) == 0
    return {kind: folder / kind / f"cord.{kind}" for kind in KINDS}


def sound_of(path: Path) -> np.ndarray:
    samples, rate = soundfile.read(path, dtype="float32", always_2d=True)
    assert (rate, samples.shape[1]) == (RATE, 1)
    return samples[:, 0]


def clip(text: str) -> np.ndarray:
    from companion.speaking.clips import ClipVoice

    samples = ClipVoice(library.prompt_folder() / "en" / "voices" / "hibari", setting.phrasebook()).sound(
        text, "normal"
    )
    assert samples is not None
    return samples


def likeness(sound: np.ndarray, said: np.ndarray) -> np.ndarray:
    """How like a clip the sound is from each moment on: 1 where it is the clip (normalised cross-correlation)."""
    size = 1 << (len(sound) + len(said)).bit_length()
    product = scipy.fft.irfft(scipy.fft.rfft(sound, size) * np.conj(scipy.fft.rfft(said, size)), size)[: len(sound)]
    energy = np.concatenate([[0.0], np.cumsum(np.square(sound, dtype=np.float64)), np.full(len(said), np.nan)])
    energy = np.nan_to_num(energy, nan=energy[len(sound)])
    here = np.sqrt(np.maximum(energy[len(said) :] - energy[: -len(said)], 1e-9))[: len(sound)]
    return product / here / np.linalg.norm(said)


def moments(sound: np.ndarray, text: str) -> list[float]:
    """Every moment at which a clip begins, in seconds."""
    alike = likeness(sound, clip(text))
    found = np.flatnonzero(alike > 0.9)
    groups = np.split(found, np.flatnonzero(np.diff(found) > RATE // 10) + 1)
    return [float(group[np.argmax(alike[group])]) / RATE for group in groups if len(group)]


# The sound


def test_all_formats_hold_the_same_session(tracks: dict[str, Path]) -> None:
    flac, wav, ogg = (soundfile.read(tracks[kind], dtype="int16")[0] for kind in ("flac", "wav", "ogg"))
    assert np.array_equal(flac, wav), "FLAC loses nothing"
    assert len(ogg) == len(wav)
    assert float(np.corrcoef(ogg.astype(float), wav.astype(float))[0, 1]) > 0.98


def test_the_moves_begin_on_the_beat(tracks: dict[str, Path]) -> None:
    sound = sound_of(tracks["flac"])
    tightens = moments(sound, "Tighten.")
    assert len(tightens) == 2 * CYCLES
    between = np.diff(tightens)
    assert between == pytest.approx([3 * BEAT_S] * (2 * CYCLES - 1), abs=NEAR_S)
    shifts = moments(sound, "Left hand.")[-CYCLES:]
    # The shift of the left hand is the second move, tightening the third.
    assert np.array(tightens[::2]) - shifts == pytest.approx([BEAT_S] * CYCLES, abs=NEAR_S)


def test_it_lasts_as_long_as_the_beat_says(tracks: dict[str, Path]) -> None:
    sound = sound_of(tracks["flac"])
    first = moments(sound, "Right index.")[0] - TICK_S
    ends = moments(sound, "That was the last cycle.")[0]
    count = 0.25 + sum(len(clip(text)) / RATE for text in ("cycle", "three", "done.")) + 2 * 0.06
    assert ends - first == pytest.approx(6 * CYCLES * BEAT_S + TICK_S + count, abs=0.02)


# The marks


def chunks(path: Path) -> dict[bytes, bytes]:
    """The chunks of a WAV file by name, lists by their type; its length in the head is checked."""
    data = path.read_bytes()
    assert (data[:4], data[8:12]) == (b"RIFF", b"WAVE")
    assert struct.unpack("<I", data[4:8])[0] == len(data) - 8
    found, at = {}, 12
    while at < len(data):
        name, size = data[at : at + 4], struct.unpack("<I", data[at + 4 : at + 8])[0]
        content = data[at + 8 : at + 8 + size]
        found[content[:4] if name == b"LIST" else name] = content[4:] if name == b"LIST" else content
        at += 8 + size + size % 2
    return found


def of_wav(path: Path) -> list[tuple[float, str]]:
    parts = chunks(path)
    points = [
        struct.unpack_from("<II4sIII", parts[b"cue "], 4 + 24 * n)
        for n in range(struct.unpack_from("<I", parts[b"cue "])[0])
    ]
    names, at, labels = {}, 0, parts[b"adtl"]
    while at < len(labels):
        size = struct.unpack_from("<I", labels, at + 4)[0]
        names[struct.unpack_from("<I", labels, at + 8)[0]] = labels[at + 12 : at + 8 + size].rstrip(b"\0").decode()
        at += 8 + size + size % 2
    return [(point[5] / RATE, names[point[0]]) for point in points]


def of_comments(tags: Any) -> list[tuple[float, str]]:
    """Xiph's chapter extension: CHAPTER001=HH:MM:SS.sss and CHAPTER001NAME."""
    found = []
    for number in range(1, 1000):
        if f"CHAPTER{number:03}" not in tags:
            return found
        hours, minutes, seconds = tags[f"CHAPTER{number:03}"][0].split(":")
        assert re.fullmatch(r"\d\d\.\d{3}", seconds)
        found.append((int(hours) * 3600 + int(minutes) * 60 + float(seconds), tags[f"CHAPTER{number:03}NAME"][0]))
    return found


def of_sheet(path: Path) -> list[tuple[float, str]]:
    text = path.with_suffix(".cue").read_text(encoding="utf-8")
    assert f'FILE "{path.name}" WAVE' in text
    rows = re.findall(r'TRACK \d\d AUDIO\n    TITLE "(.*)"\n    INDEX 01 (\d+):(\d\d):(\d\d)', text)
    return [(int(minutes) * 60 + int(seconds) + int(frames) / 75, name) for name, minutes, seconds, frames in rows]


def test_every_format_has_the_same_chapters(tracks: dict[str, Path]) -> None:
    flac, ogg = mutagen.flac.FLAC(tracks["flac"]), mutagen.oggvorbis.OggVorbis(tracks["ogg"])
    expected = of_wav(tracks["wav"])
    assert [name for _, name in expected] == [
        "Load the loops first", "Cycle 1", "Cycle 2", "Cycle 3", "That was the last cycle",
    ]  # fmt: skip
    for found, near_s in [
        (of_comments(ogg.tags), 0.001),
        (of_comments(flac.tags), 0.001),
        *((of_sheet(tracks[kind]), 1 / 75) for kind in KINDS),
    ]:
        assert [name for _, name in found] == [name for _, name in expected]
        assert [at_s for at_s, _ in found] == pytest.approx([at_s for at_s, _ in expected], abs=near_s)
    *entries, lead_out = flac.cuesheet.tracks
    assert [entry.start_offset / RATE for entry in entries] == pytest.approx([at_s for at_s, _ in expected])
    assert (lead_out.track_number, lead_out.start_offset) == (255, flac.info.total_samples)


def test_a_chapter_begins_where_the_first_words_of_its_cycle_sound(tracks: dict[str, Path]) -> None:
    for kind in KINDS:
        begins = [at_s for at_s, name in of_sheet(tracks[kind]) if name.startswith("Cycle")]
        sounds = moments(sound_of(tracks[kind]), "Right index.")
        assert len(sounds) == CYCLES
        # The sheet counts in 75ths of a second, rounded down, and a tick may come before the words.
        assert all(
            -0.001 <= sound - begin <= TICK_S + 1 / 75 + NEAR_S for begin, sound in zip(begins, sounds, strict=True)
        )


def test_title_recipe_cautions_and_the_licence_of_the_voice_are_in_the_file(tracks: dict[str, Path]) -> None:
    for tags in (mutagen.flac.FLAC(tracks["flac"]).tags, mutagen.oggvorbis.OggVorbis(tracks["ogg"]).tags):
        assert tags["TITLE"] == ["Square cord of five loops, workshop: 3 cycles"]
        comment = tags["COMMENT"][0]
        assert all(words in comment for words in (SQUARE, "6 seconds a move", "synthetic voice", "numb", "children"))
        assert tags["COPYRIGHT"] == ["Voice: Apache-2.0"]
    assert b"Square cord of five loops" in chunks(tracks["wav"])[b"INFO"]


# Who listens


def listener(recipe: Recipe) -> Any:
    """pocketsphinx that expects one of a recipe's moves, in full or short words, or the moves of another cord."""
    book = setting.phrasebook()
    cords = [recipe, *(library.load(name) for name in ("ten-loop-open-edge", "five-loop-flat"))]
    prompts = [move_prompt(cord, move) for cord in cords for move in cord.cycle]
    texts = {spoken(book.text(prompt)) for cord in cords for prompt in (*prompts, *short_prompts(cord))}
    decoder = pocketsphinx.Decoder(samprate=16_000, lm=None, loglevel="FATAL")
    decoder.add_jsgf_string("moves", f"#JSGF V1.0; grammar moves; public <move> = {' | '.join(sorted(texts))};")
    decoder.activate_search("moves")

    def hears(sound: np.ndarray) -> str:
        decoder.start_utt()
        decoder.process_raw((soxr.resample(sound, RATE, 16_000) * 32767).astype(np.int16).tobytes(), full_utt=True)
        decoder.end_utt()
        return decoder.hyp().hypstr if decoder.hyp() else ""

    return hears


def spoken(text: str) -> str:
    return " ".join(re.findall(r"[a-z]+", text.lower()))


@pytest.mark.parametrize("words", ["full", "short"])
def test_the_moves_are_understood(ask: Any, tmp_path: Path, words: str) -> None:
    out = tmp_path / "cord.wav"
    options = ("--cycles", "2", "--words", words, "--ticks", "off", "--brief", "--seconds-per-move", "6")
    assert ask(SQUARE, "--out", out, *options).status == 0
    sound, recipe = sound_of(out), library.load(SQUARE)
    book = setting.phrasebook()
    prompts = [move_prompt(recipe, move) for move in recipe.cycle] if words == "full" else short_prompts(recipe)
    hears = listener(recipe)
    first = moments(sound, "Right index.")[0]
    # Of the first cycle each move stands alone in its beat.
    heard = [hears(sound[round((first + 6 * n - 0.2) * RATE) :][: round(5.0 * RATE)]) for n in range(len(prompts))]
    assert heard == [spoken(book.text(prompt)) for prompt in prompts]


class Kept(ClockedPlayer):
    """A player that keeps its sound."""

    alive = True

    def __init__(self) -> None:
        super().__init__()
        self.blocks: list[np.ndarray] = []

    def _put(self, sound: Any) -> None:
        self.blocks.append(sound)

    def close(self) -> None:
        """Nothing to close."""


def test_each_of_two_braiders_hears_a_voice_of_her_own() -> None:
    recipe = library.load(TEAM)
    plan = Plan(recipe, recipe.colourways[0], pace=Pace.TIMED, goal=Goal(Measure.CYCLES, 1), attended=False)
    said: list[Said] = []
    book = setting.phrasebook()
    player = Kept()
    mouth = Mouth(reader.voice("clips", book, "en", "hibari"), player, lambda fault: None)
    TrackRun(plan, mouth, player, lambda cycle, at_s: None, lambda at_s: None, said.append).run()
    sound = np.concatenate(player.blocks).astype(np.float32) / 32767
    for braider, word in ((1, "One:"), (2, "Two:")):
        at_s = next(each.at_s for each in said if each.text.startswith(word))
        here = sound[round(at_s * RATE) :][: round(0.8 * RATE)]
        own, plain = at_pitch(clip(word), PITCHES[braider]), clip(word)
        assert np.max(likeness(here, own)) > 0.95 > np.max(likeness(here, plain))


def test_only_a_tap_for_each_move_and_the_count_of_cycles_aloud(ask: Any, tmp_path: Path) -> None:
    out = tmp_path / "taps.wav"
    assert ask(SQUARE, "--out", out, "--whole-cycle", "--cycles", "2", "--seconds-per-move", "2", "--brief").status == 0
    sound = sound_of(out)
    assert moments(sound, "Right index.") == []
    assert len(moments(sound, "done.")) == 2


def test_a_slow_voice_speaks_slowly(ask: Any, tmp_path: Path) -> None:
    """The beat stays; the words take longer."""
    for speed in ("slow", "normal"):
        options = ("--cycles", "1", "--brief", "--ticks", "off", "--speed", speed)
        assert ask(SQUARE, "--out", tmp_path / f"{speed}.wav", *options).status == 0
    slow, normal = (np.abs(sound_of(tmp_path / f"{speed}.wav")) for speed in ("slow", "normal"))
    assert (slow > 0.01).sum() > 1.15 * (normal > 0.01).sum()


# What goes wrong


def test_words_that_no_voice_can_say_are_named(ask: Any, tmp_path: Path) -> None:
    text = Path("tests/recipe/purse-string.toml").read_text(encoding="utf-8")
    own = tmp_path / "purse-string.toml"
    own.write_text(text.replace("tighten = true", 'tighten = true\nsay = "Beat up the fell."'), encoding="utf-8")
    done = ask(own, "--out", tmp_path / "purse.flac", "--cycles", "1", "--voice", "clips")
    assert done.status == 0
    assert "Left out of the track" in done.err
    assert '"Beat up the fell."' in done.err
    assert len(sound_of(tmp_path / "purse.flac")) > 30 * RATE


@pytest.mark.parametrize("kind", KINDS)
def test_a_full_disk_is_told_in_one_sentence_and_nothing_half_written_stays(
    ask: Any, tmp_path: Path, kind: str
) -> None:
    """Linux's /dev/full: every write fails as on a full disk."""
    folder = tmp_path / "full"
    folder.mkdir()
    (folder / f".cord.{kind}.part").symlink_to("/dev/full")
    done = ask(SQUARE, "--out", folder / f"cord.{kind}", "--cycles", "1")
    assert (done.status, done.out) == (1, "")
    assert done.err == f"{folder / f'cord.{kind}'}: the track can't be written (No space left on device).\n"
    assert list(folder.iterdir()) == []


def test_a_file_that_is_there_is_written_over_only_where_that_is_asked_for(ask: Any, tmp_path: Path) -> None:
    out = tmp_path / "cord.ogg"
    out.write_text("velvet", encoding="utf-8")
    done = ask(SQUARE, "--out", out, "--cycles", "1", "--brief")
    assert done.status == 1
    assert "--replace" in done.err
    assert out.read_text(encoding="utf-8") == "velvet"
    assert ask(SQUARE, "--out", out, "--cycles", "1", "--brief", "--replace").status == 0
    assert sound_of(out).size


def test_a_track_of_another_kind_has_the_same_cue_sheet_so_it_needs_another_name(ask: Any, tmp_path: Path) -> None:
    words = ("--cycles", "1", "--brief", "--voice", "clips")
    wav, flac, sheet = (tmp_path / f"cord.{kind}" for kind in ("wav", "flac", "cue"))
    assert ask(SQUARE, "--out", wav, *words).status == 0
    done = ask(SQUARE, "--out", flac, *words)
    told = f"{sheet} is there already, the cue sheet of cord.wav: give another name, or write over it with --replace.\n"
    assert (done.status, done.out, done.err) == (1, "", told)
    assert not flac.exists()
    assert 'FILE "cord.wav" WAVE' in sheet.read_text(encoding="utf-8")
    assert ask(SQUARE, "--out", flac, *words, "--replace").status == 0
    assert 'FILE "cord.flac" WAVE' in sheet.read_text(encoding="utf-8")
    assert wav.exists()


@pytest.mark.parametrize("content", [b"what the purse needs: cord", b"\xff\xfe"])
def test_a_file_that_only_has_the_name_of_a_cue_sheet_stays_as_it_is(ask: Any, tmp_path: Path, content: bytes) -> None:
    (tmp_path / "cord.cue").write_bytes(content)
    done = ask(SQUARE, "--out", tmp_path / "cord.wav")
    assert done.status == 1
    assert "cord.cue is there already: give another name" in done.err
    assert (tmp_path / "cord.cue").read_bytes() == content


@pytest.mark.parametrize(
    ("words", "status", "told"),
    [
        ((SQUARE, "--out", "cord.mp3"), 2, ".flac, .ogg, .wav"),
        ((SQUARE, "--out", "nowhere/cord.ogg"), 1, "No such file or directory"),
        ((SQUARE, "--out", "cord.ogg", "--cycles", "100000"), 2, "at most 10"),
        ((SQUARE, "--out", "cord.ogg", "--colourway", "tartan"), 2, "tartan"),
        ((SQUARE, "--out", "cord.ogg", "--braiders", "Ann,Bea"), 2, "one braider"),
        (("tassel", "--out", "cord.ogg"), 1, "tassel"),
    ],
)
def test_what_cannot_be_is_told_in_one_sentence(
    ask: Any, tmp_path: Path, monkeypatch: Any, words: tuple[str, ...], status: int, told: str
) -> None:
    monkeypatch.chdir(tmp_path)
    done = ask(*words)
    assert done.status == status
    assert told in done.err
    assert len(done.err.splitlines()) == 1
    assert [path for path in tmp_path.iterdir() if path.name != "home"] == []
