"""How likely each wording is, by a small neural English recogniser: an encoder of sound and a decoder of text pieces.

The network is the "tiny" English one of the package moonshine-voice (MIT; 27 million weights, 8 bits each), described
in N. Jeffries and others 2024, "Moonshine: Speech Recognition for Live Transcription and Voice Commands",
arXiv:2410.15608. Its two halves are run by onnxruntime, on one core.

The decoder gives the probability of each next piece of text. Multiplied along the ways to write a wording ("Next.",
"next", ...), and summed over these ways, they give the probability that the whole utterance is this wording among all
texts whatever: nothing needs to be decoded freely, and every other word of English competes.
"""

from __future__ import annotations

import hashlib
import re
import unicodedata
from collections.abc import Iterable, Mapping
from importlib.util import find_spec
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from companion.listening.recogniser import EarFault

_ENCODER, _DECODER, _PIECES = "encoder_model.ort", "decoder_model_merged.ort", "tokenizer.bin"
_BEGIN, END = 1, 2
_FIRST_PIECE = 259
"""Numbers below are signs of control and single bytes."""
_SPACE = "▁"
_LEAST_LOG = -16.0
"""Ways less likely than this (natural logarithm) are not followed to their end."""
_ENDINGS = ("", ".", "!", "?", ",", "...")
WRITES = "en"
"""The language of the texts that it writes; its encoder hears others, too."""

Pieces = tuple[int, ...]


def model_folder() -> Path:
    """The folder of the network inside the installed package.

    Raises:
        EarFault: the package is missing, or is a release without the network.
    """
    package = find_spec("moonshine_voice")
    folder = Path(package.origin).parent / "assets" / "tiny-en" if package and package.origin else None
    if folder is None or not all((folder / name).is_file() for name in (_ENCODER, _DECODER, _PIECES)):
        raise EarFault("The moonshine ear isn't installed: 'pip install \"moonshine-voice<=0.1.0\"' brings it.")
    return folder


class TextPieces:
    """The pieces that the decoder writes with; `split` cuts a text as its training did.

    Args:
        raw: the file of pieces: for each its length in bytes (one byte, or two from 128 on), then its UTF-8 text.
    """

    def __init__(self, raw: bytes) -> None:
        self._number: dict[str, int] = {}
        self._text: dict[int, str] = {}
        place = number = 0
        while place < len(raw):
            length, place = raw[place], place + 1
            if length >= 128:
                length, place = raw[place] * 128 + length - 128, place + 1
            if length and number >= _FIRST_PIECE:
                text = self._text[number] = raw[place : place + length].decode("utf-8", "replace")
                self._number.setdefault(text, number)
            place += length
            number += 1
        self.count = number
        """How many pieces there are, signs of control among them."""

    def joined(self, pieces: Pieces) -> str:
        """The text that these pieces write; signs of control and single bytes write nothing."""
        return "".join(self._text.get(piece, "") for piece in pieces).replace(_SPACE, " ").strip()

    def texts(self) -> list[tuple[int, str]]:
        """The number of each piece, and what it writes in lower case, without the blank before a word."""
        return [(number, text.replace(_SPACE, "").casefold()) for number, text in self._text.items()]

    def split(self, text: str) -> Pieces:
        """The numbers of the pieces of `text`: neighbours are joined, the most frequent pair first.

        Byte-pair encoding as in R. Sennrich and others 2016, doi 10.18653/v1/P16-1162; a pair's rank is its number.

        Raises:
            KeyError: a letter that no piece has.
        """
        parts = list(_SPACE + text.replace(" ", _SPACE))
        while True:
            pairs = [(self._number.get(a + b), place) for place, (a, b) in enumerate(pairwise(parts))]
            known = [(number, place) for number, place in pairs if number is not None]
            if not known:
                return tuple(self._number[part] for part in parts)
            _, place = min(known)
            parts[place : place + 2] = [parts[place] + parts[place + 1]]


def ways_to_write(wording: str) -> set[str]:
    """The ways in which a transcript may write a wording that is the whole utterance."""
    named = re.sub(r"\bi\b", "I", wording)
    cases = {named, named[0].upper() + named[1:], named.title(), wording.upper()}
    return {case + ending for case in cases for ending in _ENDINGS}


class Network:
    """The two halves of the network, ready to run.

    Raises:
        EarFault: onnxruntime or the network is missing or can't be read.
    """

    def __init__(self) -> None:
        folder = model_folder()
        try:
            import onnxruntime

            options = onnxruntime.SessionOptions()
            options.intra_op_num_threads = options.inter_op_num_threads = 1
            # Costs no time here, and 40 MB less memory.
            options.enable_cpu_mem_arena = False
            self._encoder: Any = onnxruntime.InferenceSession(str(folder / _ENCODER), options)
            self._decoder: Any = onnxruntime.InferenceSession(str(folder / _DECODER), options)
            self.pieces = TextPieces((folder / _PIECES).read_bytes())
            """What its texts are written with."""
            # A file cut short would cut texts in other places than the training did, and nothing would be heard.
            if self.pieces.count != self._decoder.get_outputs()[0].shape[-1]:
                raise ValueError(f"{_PIECES} holds {self.pieces.count} pieces, not those of the decoder")
            self.digest = hashlib.sha256((folder / _ENCODER).read_bytes()).hexdigest()
            """Tells one encoder from another."""
        except ImportError:
            raise EarFault("The moonshine ear needs onnxruntime: 'pip install onnxruntime' brings it.") from None
        except Exception as error:  # onnxruntime raises kinds of its own
            raise EarFault(f"The network in {folder} can't be read ({error}): install moonshine-voice anew.") from None
        inputs = self._decoder.get_inputs()
        past = [wanted for wanted in inputs if wanted.name.startswith("past")]
        self._past = {wanted.name: (wanted.shape[1], 0, wanted.shape[3]) for wanted in past}

    def encode(self, sound: np.ndarray) -> np.ndarray:
        """What the network hears in `sound`: frames x 288, about 41 frames a second. Loudness makes no difference.

        Args:
            sound: int16, mono, 16 kHz, at least 0.2 s.
        """
        loudest = max(float(np.abs(sound.astype(np.int32)).max()), 1.0)
        batch = (sound * (0.5 / loudest)).astype(np.float32)[None]
        feed = {"input_values": batch, "attention_mask": np.ones(batch.shape, np.int64)}
        return np.asarray(self._encoder.run(None, feed)[0][0])

    def following(self, heard: np.ndarray, said: list[Pieces]) -> np.ndarray:
        """Log probabilities of the next piece after each of `said` (all of one length): len(said) x pieces."""
        count = len(said)
        feed: dict[str, Any] = {
            "input_ids": np.array([[_BEGIN, *pieces] for pieces in said], np.int64),
            "encoder_hidden_states": np.repeat(heard[None], count, axis=0),
            "encoder_attention_mask": np.ones((count, len(heard)), np.int64),
            "use_cache_branch": np.array([False]),
        }
        feed |= {name: np.zeros((count, *shape), np.float32) for name, shape in self._past.items()}
        logits = self._decoder.run(["logits"], feed)[0][:, -1]
        logits = logits - logits.max(axis=-1, keepdims=True)
        return np.asarray(logits - np.log(np.exp(logits).sum(axis=-1, keepdims=True)))


class WordingScorer:
    """Scores utterances against a fixed list of wordings.

    Raises:
        EarFault: a wording with a letter that English writing lacks.
    """

    def __init__(self, network: Network, wordings: Iterable[str]) -> None:
        self._network = network
        self._ways: dict[Pieces, str] = {}
        self._pieces_after: dict[Pieces, set[int]] = {}
        self._wordings_after: dict[Pieces, set[str]] = {}
        for wording in wordings:
            for text in ways_to_write(wording):
                self._add(wording, (*_split(network.pieces, text), END))

    def _add(self, wording: str, way: Pieces) -> None:
        self._ways[way] = wording
        for place, piece in enumerate(way):
            self._pieces_after.setdefault(way[:place], set()).add(piece)
            self._wordings_after.setdefault(way[: place + 1], set()).add(wording)

    def log_probabilities(self, heard: np.ndarray, least: Mapping[str, float] | None = None) -> dict[str, float]:
        """Natural logarithm of the probability that what the network heard is exactly this wording.

        Args:
            heard: what `Network.encode` gave.
            least: log probabilities below which nobody asks how likely these wordings are: ways to write them are
                followed no further than that, which in noise takes a fraction of the time.

        Returns:
            The wordings that are not out of the question; none of the others has more than about exp(-16), or `least`.
        """
        least = least or {}
        live: dict[Pieces, float] = {(): 0.0}
        found: dict[str, float] = {}
        while live:
            following = self._network.following(heard, list(live))
            longer: dict[Pieces, float] = {}
            for (said, so_far), logs in zip(live.items(), following, strict=True):
                for piece in self._pieces_after[said]:
                    log = so_far + float(logs[piece])
                    way = (*said, piece)
                    if way in self._ways:
                        wording = self._ways[way]
                        found[wording] = float(np.logaddexp(found.get(wording, -np.inf), log))
                    elif log > min(
                        max(_LEAST_LOG, least.get(after, _LEAST_LOG)) for after in self._wordings_after[way]
                    ):
                        longer[way] = log
            live = longer
        return found


def can_write(pieces: TextPieces, wording: str) -> bool:
    """Whether the network can write a wording in all the ways that a transcript may, in the letters of English.

    It has pieces for other scripts, too, but never learnt what they sound like; accents it meets in English texts.
    """
    if not all(letter.isascii() or unicodedata.combining(letter) for letter in unicodedata.normalize("NFD", wording)):
        return False
    try:
        return bool(wording) and bool([_split(pieces, text) for text in ways_to_write(wording)])
    except EarFault:
        return False


def _split(pieces: TextPieces, text: str) -> Pieces:
    try:
        return pieces.split(text)
    except KeyError:
        raise EarFault(f"The moonshine ear can't write '{text}': it knows English only.") from None
