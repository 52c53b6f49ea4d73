"""The neural recogniser behind the built-in ear: how it writes, how likely it finds a wording, and its faults."""

from __future__ import annotations

import sys
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from listening_sounds import RATE_HZ, Say, room

from companion.listening import moonshine_model
from companion.listening.moonshine_model import Network, TextPieces, WordingScorer, model_folder, ways_to_write
from companion.listening.recogniser import EarFault
from companion.listening.sound_file import read_sound_file
from companion.listening.vocabulary import Vocabulary

CONTROLS = 259
"""Pieces at the beginning of a file that stand for control and single bytes, and write no text."""
NETWORK_FILES = ("encoder_model.ort", "decoder_model_merged.ort", "tokenizer.bin")


@pytest.fixture(scope="module")
def network() -> Network:
    """The shipped network, opened once."""
    return Network()


@pytest.fixture(scope="module")
def scorer(network: Network, english: Vocabulary) -> WordingScorer:
    """Scores the wordings of the shipped vocabulary."""
    return WordingScorer(network, [wording for wording, _ in english.wordings])


def piece_file(*texts: str) -> bytes:
    """A file of pieces whose first text has the number `CONTROLS`, its lengths written as one byte or as two."""
    raw = b"\x01a" * CONTROLS
    for text in texts:
        said = text.encode()
        size = [len(said)] if len(said) < 128 else [128 + len(said) % 128, len(said) // 128]
        raw += bytes(size) + said
    return raw


def with_quiet(said: np.ndarray) -> np.ndarray:
    return np.concatenate([room(0.2), said // 2, room(0.3, seed=1)])


# How it writes


@pytest.mark.parametrize("length", [1, 2, 127, 128, 129, 255, 256, 300, 1_000, 16_000])
def test_pieces_of_any_length_are_passed_over_rightly(length: int) -> None:
    pieces = TextPieces(piece_file("x" * length, "▁", "b", "y" * length, "é"))
    assert pieces.split("bé") == (CONTROLS + 1, CONTROLS + 2, CONTROLS + 4)


def test_the_pair_with_the_lowest_number_is_joined_first() -> None:
    letters = ("▁", "a", "b", "c")
    ab, bc = (CONTROLS + len(letters) + place for place in (0, 1))
    assert TextPieces(piece_file(*letters, "ab", "bc")).split("abc") == (CONTROLS, ab, CONTROLS + 3)
    assert TextPieces(piece_file(*letters, "bc", "ab")).split("abc") == (CONTROLS, CONTROLS + 1, ab)
    assert TextPieces(piece_file(*letters, "ab", "bc", "abc")).split("abc") == (CONTROLS, bc + 1)


def test_of_equal_pairs_the_first_is_joined() -> None:
    assert TextPieces(piece_file("▁", "a", "aa")).split("aaa") == (CONTROLS, CONTROLS + 2, CONTROLS + 1)


def test_a_space_belongs_to_the_word_after_it() -> None:
    pieces = TextPieces(piece_file("▁", "g", "o", "▁g", "▁go"))
    assert pieces.split("go go") == (CONTROLS + 4, CONTROLS + 4)


def test_a_joined_piece_that_comes_twice_has_its_first_number() -> None:
    assert TextPieces(piece_file("▁", "a", "▁a", "▁a")).split("a") == (CONTROLS + 2,)


def test_controls_write_nothing_and_an_unknown_letter_is_a_key_error() -> None:
    pieces = TextPieces(piece_file("▁", "b"))
    for letter in ("a", "z"):  # "a" is what the controls of the test's file look like
        with pytest.raises(KeyError, match=letter):
            pieces.split(f"b{letter}")


@given(st.text("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ .,!?'", min_size=1, max_size=30))
def test_the_pieces_of_a_text_put_together_are_the_text(network: Network, text: str) -> None:
    letters = {number: piece for piece, number in network.pieces._number.items()}
    assert "".join(letters[number] for number in network.pieces.split(text)) == ("▁" + text).replace(" ", "▁")


@given(st.text("aeinorstw", min_size=1, max_size=12))
def test_no_two_neighbours_could_be_joined_further(network: Network, text: str) -> None:
    letters = {number: piece for piece, number in network.pieces._number.items()}
    parts = [letters[number] for number in network.pieces.split(text)]
    assert [a + b for a, b in pairwise(parts) if a + b in network.pieces._number] == []


def test_a_wording_may_be_written_in_several_ways() -> None:
    ways = ways_to_write("where am i")
    for way in ("where am I", "Where am I?", "Where am I.", "Where Am I", "WHERE AM I!", "Where am I..."):
        assert way in ways
    assert not [way for way in ways if " i" in way]
    assert {way.lower().rstrip(".,!?") for way in ways} == {"where am i"}


# How likely it finds a wording


@pytest.mark.slow
@pytest.mark.parametrize("voice", ["flite", "hibari"])
def test_the_wording_said_is_the_likeliest(
    voice: str, network: Network, scorer: WordingScorer, english: Vocabulary, request: pytest.FixtureRequest
) -> None:
    say: Say = request.getfixturevalue(voice)
    found = {said: scorer.log_probabilities(network.encode(with_quiet(say(said)))) for said, _ in english.wordings}
    assert {said: max(logs, key=lambda wording: logs[wording], default="") for said, logs in found.items()} == {
        said: said for said, _ in english.wordings
    }


@pytest.mark.slow
@given(data=st.data())
@settings(max_examples=10)
def test_the_probabilities_of_all_wordings_add_up_to_one_at_most(
    data: st.DataObject, network: Network, scorer: WordingScorer, english: Vocabulary, flite: Say
) -> None:
    said = flite(data.draw(st.sampled_from([wording for wording, _ in english.wordings] + ["ribbon", "nextback"])))
    start = data.draw(st.integers(0, len(said) // 2))
    noise = room(len(said) / RATE_HZ + 0.5, data.draw(st.integers(0, 99)), data.draw(st.floats(-70, -20)))
    noise[4_000 : 4_000 + len(said) - start] += said[start:] // 2
    logs = scorer.log_probabilities(network.encode(noise))
    assert 0 <= sum(np.exp(list(logs.values()))) <= 1 + 1e-5
    assert all(log <= 1e-5 for log in logs.values())


@pytest.mark.parametrize("times", [3, 10, 40])
def test_loudness_makes_no_difference(times: int, network: Network, scorer: WordingScorer, flite: Say) -> None:
    quiet = with_quiet(flite("go back")) // 50
    one, other = (scorer.log_probabilities(network.encode(sound)) for sound in (quiet, quiet * np.int16(times)))
    assert one.keys() == other.keys()
    assert other == pytest.approx(one, abs=0.02)


def test_silence_is_no_wording(network: Network, scorer: WordingScorer) -> None:
    assert sum(np.exp(list(scorer.log_probabilities(network.encode(np.zeros(RATE_HZ, np.int16))).values()))) < 0.01


# A check from outside: the beginning of Charles Dickens's A Tale of Two Cities (1859, public domain), read by a voice
# in two_cities.wav of the package moonshine-voice. Which phrase lies where follows from the order in the book and the
# pauses of the recording, in seconds.
DICKENS = {
    "it was the age of wisdom": (5.04, 6.18),
    "it was the age of foolishness": (6.66, 8.20),
    "it was the epoch of belief": (8.82, 10.28),
    "it was the epoch of incredulity": (10.76, 12.78),
    "it was the season of light": (13.48, 14.76),
    "it was the season of darkness": (15.14, 16.68),
    "it was the spring of hope": (17.56, 18.72),
    "it was the winter of despair": (18.98, 20.46),
}


def test_of_the_phrases_of_a_book_the_one_that_is_read_is_the_likeliest(network: Network) -> None:
    sound = read_sound_file(model_folder().parent / "two_cities.wav")
    scorer = WordingScorer(network, DICKENS)
    for text, (start, end) in DICKENS.items():
        heard = network.encode(sound[round((start - 0.2) * RATE_HZ) : round((end + 0.25) * RATE_HZ)])
        logs = scorer.log_probabilities(heard)
        others = [logs.get(other, -16.0) for other in DICKENS if other != text]
        assert logs[text] > max(others) + 3, text


# Faults


@pytest.mark.parametrize("wording", ["뷁", "go 뷁", "ᚠ"])
def test_a_wording_that_its_pieces_cannot_write_is_named(wording: str, network: Network) -> None:
    with pytest.raises(EarFault, match=f"can't write '.*{wording[-1]}.*': it knows English only") as fault:
        WordingScorer(network, ["next", wording])
    assert "\n" not in str(fault.value)


def one_sentence(fault: pytest.ExceptionInfo[EarFault]) -> bool:
    text = str(fault.value)
    return text.endswith(".") and "\n" not in text and "Traceback" not in text


def test_a_missing_package_is_told_with_what_brings_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(moonshine_model, "find_spec", lambda name: None)
    with pytest.raises(EarFault, match=r"isn't installed: 'pip install .*moonshine-voice") as fault:
        model_folder()
    assert one_sentence(fault)


@pytest.mark.parametrize("missing", NETWORK_FILES)
def test_a_package_without_a_file_of_the_network_counts_as_missing(
    missing: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "assets" / "tiny-en").mkdir(parents=True)
    for name in NETWORK_FILES:
        if name != missing:
            (tmp_path / "assets" / "tiny-en" / name).write_bytes(b"")
    spec = type("Spec", (), {"origin": str(tmp_path / "__init__.py")})
    monkeypatch.setattr(moonshine_model, "find_spec", lambda name: spec)
    with pytest.raises(EarFault, match="isn't installed"):
        model_folder()


@pytest.mark.parametrize("broken", NETWORK_FILES)
@pytest.mark.parametrize("harm", ["empty", "cut short", "other bytes"])
def test_a_broken_file_of_the_network_is_told_in_one_sentence(
    broken: str, harm: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    for file in (model_folder() / name for name in NETWORK_FILES):
        (tmp_path / file.name).symlink_to(file)
    whole = (tmp_path / broken).read_bytes()
    (tmp_path / broken).unlink()
    parts = {"empty": b"", "cut short": whole[: len(whole) * 3 // 4], "other bytes": b"no network, a text" * 999}
    (tmp_path / broken).write_bytes(parts[harm])
    monkeypatch.setattr(moonshine_model, "model_folder", lambda: tmp_path)
    with pytest.raises(EarFault, match=r"can't be read .*: install moonshine-voice anew") as fault:
        Network()
    assert one_sentence(fault)


def test_without_onnxruntime_the_ear_tells_what_brings_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "onnxruntime", None)
    with pytest.raises(EarFault, match="'pip install onnxruntime' brings it") as fault:
        Network()
    assert one_sentence(fault)
