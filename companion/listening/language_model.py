"""Builds the command-weighted language model for pocketsphinx: each wording is one word, and it must win.

A grammar of commands alone takes any noise for a command. Here each wording is a single dictionary word (so "where"
alone can't pass for "where am I") that is likely when it is the whole utterance, and the most frequent words of the
shipped English model compete with it, with that model's own probabilities, and so does every word that sounds like one.

Three models share one dictionary: commands (with a number after "measured", where the language says how), the answers
that may be expected beside few commands, and numbers beside all. Within a number its words follow one another as the
vocabulary allows, and nothing else does.

The result is a folder of models in ARPA form, a dictionary, and a manifest with their checksums. Building takes about
two seconds and is done once; a folder that doesn't match its manifest is built again.
"""

from __future__ import annotations

import hashlib
import itertools
import json
import math
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from importlib.metadata import version
from pathlib import Path

from companion.listening.context import Context
from companion.listening.recogniser import EarFault
from companion.listening.vocabulary import Vocabulary
from companion.practice.answers import Expected

MODEL_FILE = "commands.lm"
ANSWERS_FILE = "answers.lm"
NUMBERS_FILE = "numbers.lm"
DICTIONARY_FILE = "commands.dict"
_MANIFEST_FILE = "manifest.json"
_BUILDER_VERSION = 4

COMPETITORS = 3000
"""How many of the most frequent English words compete with the wordings."""
COMMAND_SHARE = 0.3
"""Probability that an utterance is a command at all, shared by the wordings: the sensitivity."""
ANSWERED_SHARE = 0.6
"""Likewise after a question: of answers, or numbers, and commands together."""
NUMBER_SHARE = 0.5
"""Of that, the share of numbers; after "measured", of a number that follows."""
LOOKALIKE_SHARE = 1e-3
"""Least probability that an utterance opens with a given look-alike of the vocabulary file."""
LENGTH_POWER = 2.0
"""Power of a wording's number of phones to which its own share is proportional."""
_LOOKALIKE_RANK = 20_000
"""Words sounding like a wording compete if they are among this many most frequent words."""
_LOG_FLOOR = -99.0

Pronunciations = dict[str, list[tuple[str, ...]]]


def token(wording: str) -> str:
    """The dictionary word that stands for a whole wording."""
    return "_" + wording.replace(" ", "_")


def number_token(word: str) -> str:
    """The dictionary word that stands for a word within a number."""
    return "#" + word


def known_answers(answers: tuple[str, ...]) -> tuple[str, ...]:
    """The answers of which the shipped English dictionary knows every word."""
    from pocketsphinx import get_model_path

    known = _read_dictionary(Path(get_model_path("en-us/cmudict-en-us.dict"))) if answers else {}
    return tuple(answer for answer in answers if answer.split() and all(word in known for word in answer.split()))


def prepared_model(vocabulary: Vocabulary, cache: Path, answers: tuple[str, ...] = ()) -> Path:
    """The folder of the models for `vocabulary` and known answers inside `cache`, built now if it lacks or is broken.

    Raises:
        EarFault: a wording has a word that the shipped English dictionary doesn't know, or nothing can be written.
    """
    settings = (_BUILDER_VERSION, version("pocketsphinx"), COMPETITORS, COMMAND_SHARE, LOOKALIKE_SHARE, LENGTH_POWER)
    shares = (ANSWERED_SHARE, NUMBER_SHARE)
    digest = hashlib.sha256(repr((settings, shares, vocabulary, answers)).encode()).hexdigest()
    folder = cache / f"sphinx-{vocabulary.language}-{digest[:16]}"
    if _is_whole(folder):
        return folder
    try:
        cache.mkdir(parents=True, exist_ok=True)
        work = Path(tempfile.mkdtemp(prefix="building-", dir=cache))
    except OSError as error:
        raise EarFault(
            f"The folder {cache} can't be written ({error.strerror}): free it, or set another one."
        ) from None
    try:
        _build(vocabulary, answers, work)
        _write_manifest(work)
        return _move_into_place(work, folder)
    finally:
        shutil.rmtree(work, ignore_errors=True)


def _move_into_place(work: Path, folder: Path) -> Path:
    """Renames `work` to `folder` at one stroke; a broken folder goes first, a whole one from another process stays."""
    if folder.exists() and not _is_whole(folder):
        shutil.rmtree(folder, ignore_errors=True)
    try:
        work.rename(folder)
    except OSError as error:
        if not _is_whole(folder):
            raise EarFault(f"The folder {folder} can't be written ({error.strerror}): free it.") from None
    return folder


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _write_manifest(folder: Path) -> None:
    sums = {path.name: _digest(path) for path in sorted(folder.iterdir())}
    manifest = folder / _MANIFEST_FILE
    with manifest.open("w", encoding="utf-8") as file:
        json.dump(sums, file)
        file.flush()
        os.fsync(file.fileno())


def _is_whole(folder: Path) -> bool:
    try:
        sums = json.loads((folder / _MANIFEST_FILE).read_text(encoding="utf-8"))
        needed = {MODEL_FILE, DICTIONARY_FILE}
        return needed <= set(sums) and all(sums[name] == _digest(folder / name) for name in sums)
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return False


def _build(vocabulary: Vocabulary, answers: tuple[str, ...], folder: Path) -> None:
    from pocketsphinx import Config, LogMath, NGramModel, get_model_path

    logs = LogMath(1.0001)
    english = NGramModel(Config(), logs, get_model_path("en-us/en-us.lm.bin"))

    def log10(*words: str) -> float:
        """Log10 probability of the first word after the others (nearest last word first)."""
        return float(logs.log_to_log10(english.prob(list(words))))

    known = _read_dictionary(Path(get_model_path("en-us/cmudict-en-us.dict")))
    commands = {wording: _pronounce(wording, known) for wording, _ in vocabulary.wordings}
    answered = {answer: _pronounce(answer, known) for answer in answers}
    numbers = {word: known[word] for word in sorted(vocabulary.numbers.words) if word in known}
    by_rank = sorted((word for word in known if log10(word) > -9), key=lambda word: -log10(word))
    alike = _lookalikes(commands | answered, by_rank[:_LOOKALIKE_RANK], known)
    extra = [word for word in vocabulary.lookalikes if word in known]
    every = list(dict.fromkeys([*by_rank[:COMPETITORS], *alike, *extra]))
    tokens = {token(wording): ways for wording, ways in (commands | answered).items()}
    tokens |= {number_token(word): ways for word, ways in numbers.items()}
    _write_dictionary(folder / DICTIONARY_FILE, tokens | {word: known[word] for word in every})

    def write(name: str, expected: Expected, share: float) -> None:
        context = Context(vocabulary, expected)
        whole = {wording: (commands | answered)[wording] for wording in (*context.commands, *context.answers)}
        said = {way for ways in whole.values() for way in ways}
        if expected.number:
            said |= {way for ways in numbers.values() for way in ways}
        # A word that sounds exactly like a wording ("know") could only take its place by chance.
        competitors = [word for word in every if not said & set(known[word])]
        openings = {word: math.log10(1.0 - share) + log10(word, "<s>") for word in competitors}
        openings |= {word: max(openings[word], math.log10(LOOKALIKE_SHARE)) for word in extra if word in openings}
        pairs = _pairs(context, _shares(whole), set(numbers), share)
        with (folder / name).open("w", encoding="utf-8") as file:
            file.writelines(_arpa(pairs, openings, log10))

    write(MODEL_FILE, Expected(), COMMAND_SHARE)
    if answers:
        write(ANSWERS_FILE, Expected(words=answers), ANSWERED_SHARE)
    if vocabulary.numbers.said:
        write(NUMBERS_FILE, Expected(number=True), ANSWERED_SHARE)


def _read_dictionary(path: Path) -> Pronunciations:
    words: Pronunciations = {}
    for line in path.read_text(encoding="utf-8").splitlines():
        word, *phones = line.split()
        words.setdefault(word.split("(")[0], []).append(tuple(phones))
    return words


def _pronounce(wording: str, known: Pronunciations) -> list[tuple[str, ...]]:
    """Every way to say a wording as one word: its words' phones end to end."""
    for word in wording.split():
        if word not in known:
            raise EarFault(
                f"The sphinx ear doesn't know the word '{word}': put another wording into the vocabulary file."
            )
    ways = [
        tuple(itertools.chain.from_iterable(way)) for way in itertools.product(*(known[w] for w in wording.split()))
    ]
    # Many speakers say "pause" and "wrong" with the vowel of "cot"; the dictionary has only that of "caught".
    merged = [tuple("AA" if phone == "AO" else phone for phone in way) for way in ways]
    return list(dict.fromkeys([*ways, *merged]))


def _lookalikes(commands: Pronunciations, words: list[str], known: Pronunciations) -> list[str]:
    """The words that differ from some wording by one phone: put in, left out or exchanged."""
    near = set().union(*(_holed(way) for ways in commands.values() for way in ways))
    return [word for word in words if any(_holed(phones) & near for phones in known[word])]


def _holed(phones: tuple[str, ...]) -> set[tuple[str, ...]]:
    """The phones, and the phones with each one in turn left out or blanked: two words one phone apart share one."""
    places = range(len(phones))
    left_out = {phones[:place] + phones[place + 1 :] for place in places}
    blanked = {(*phones[:place], "?", *phones[place + 1 :]) for place in places}
    return {phones} | left_out | blanked


def _write_dictionary(path: Path, entries: Pronunciations) -> None:
    lines = [
        f"{word}{f'({number})' if number > 1 else ''} {' '.join(phones)}\n"
        for word, ways in entries.items()
        for number, phones in enumerate(dict.fromkeys(ways), 1)
    ]
    path.write_text("".join(lines), encoding="utf-8")


def _shares(commands: Pronunciations) -> dict[str, float]:
    """How likely each wording's token is among commands: longer wordings more, as they are harder to say by chance."""
    weights = {token(wording): min(map(len, ways)) ** LENGTH_POWER for wording, ways in commands.items()}
    return {word: weight / sum(weights.values()) for word, weight in weights.items()}


Pairs = dict[tuple[str, str], float]
"""Two words in a row, and the log10 probability of the second after the first."""


def _pairs(context: Context, shares: dict[str, float], known: set[str], share: float) -> Pairs:
    """Wordings as whole utterances, and numbers alone or after "measured", as far as the context has them."""
    steps: dict[str, list[str]] = {}
    for word, following in sorted(context.vocabulary.numbers.steps):
        if {word, following} - {""} <= known:
            steps.setdefault(word, []).append(following)
    of_numbers = NUMBER_SHARE if context.expected.number else 0.0
    pairs = {("<s>", word): math.log10(share * (1 - of_numbers) * own) for word, own in shares.items()}
    pairs |= {(word, "</s>"): 0.0 for word in shares}
    begins = [number_token(word) for word in steps.get("", ())]
    if of_numbers:
        pairs |= {("<s>", word): math.log10(share * of_numbers / len(begins)) for word in begins}
    for wording in context.measured:
        pairs[token(wording), "</s>"] = math.log10(1 - NUMBER_SHARE)
        pairs |= {(token(wording), word): math.log10(NUMBER_SHARE / len(begins)) for word in begins}
    if of_numbers or context.measured:
        for word, after in steps.items():
            for one in after if word else ():
                pairs[number_token(word), number_token(one) if one else "</s>"] = -math.log10(len(after))
    return pairs


def _arpa(own: Pairs, competitors: dict[str, float], log10: Callable[..., float]) -> Iterator[str]:
    """The lines of a word-pair model in ARPA form: what can be said, competitors as English has them.

    Args:
        own: the pairs of what can be said; none of its words stands in any other pair.
        competitors: each competing word and the log10 probability that it opens an utterance.
        log10: log10 probability of the first word after the others in general English.
    """
    words = list(dict.fromkeys(word for pair in own for word in pair if word not in ("<s>", "</s>")))
    pairs = [f"{log:.4f} {first} {second}\n" for (first, second), log in own.items()]
    pairs += [f"{opening:.4f} <s> {word}\n" for word, opening in competitors.items()]
    pairs += [f"{log10('</s>', word):.4f} {word} </s>\n" for word in competitors]
    yield f"\\data\\\nngram 1={len(words) + len(competitors) + 2}\nngram 2={len(pairs)}\n\n\\1-grams:\n"
    yield f"{_LOG_FLOOR} <s> {_LOG_FLOOR}\n"
    yield f"{log10('</s>'):.4f} </s>\n"
    # A word of one's own is followed by nothing else, and nothing else comes before it.
    yield from (f"{_LOG_FLOOR} {word} {_LOG_FLOOR}\n" for word in words)
    yield from (f"{log10(word):.4f} {word} 0.0000\n" for word in competitors)
    yield "\n\\2-grams:\n"
    yield from pairs
    yield "\n\\end\\\n"
