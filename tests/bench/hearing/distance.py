"""How far apart wordings sound, from a pronouncing dictionary, so that wordings can be chosen far apart. By hand:

    python tests/bench/hearing/distance.py [WORDING ...] [--vocabulary FILE] [--nearest 40] [--against 20000]

Distance: the cheapest way from one row of phones to the other, where a phone put in or left out costs 1 and a phone
exchanged for another costs the share of features in which they differ (doubled, at most 1), weighted and from
panphon's table (Mortensen et al. 2016, "PanPhon: A resource for mapping IPA segments to articulatory feature
vectors", COLING 2016). It is divided by the length of the longer row: 0 is the same sound, 1 nothing in common.
Voicing and the vowel's quality weigh little in that table, place and manner much. Pronunciations: the CMU dictionary
that pocketsphinx ships; for other languages than English those of espeak-ng, and the frequent words of wordfreq.
Endings count as much as beginnings here, though listeners and recognisers lose them first.

Needs panphon (extra "bench"), and wordfreq (extra "training") for other languages.
"""

from __future__ import annotations

import argparse
import itertools
import re
import subprocess
import sys
from collections.abc import Iterable, Sequence
from functools import cache
from pathlib import Path

import panphon
from pocketsphinx import get_model_path

from companion.listening.vocabulary import read_vocabulary

ROOT = Path(__file__).parents[3]
_ARPABET = "AA AE AH AO AW AY EH ER EY IH IY OW OY UH UW B CH D DH F G HH JH K L M N NG P R S SH T TH V W Y Z ZH"
_IPA = "ɑ æ ʌ ɔ aʊ aɪ ɛ ɹ̩ eɪ ɪ i oʊ ɔɪ ʊ u b tʃ d ð f ɡ h dʒ k l m n ŋ p ɹ s ʃ t θ v w j z ʒ"
IPA = dict(zip(_ARPABET.split(), _IPA.split(), strict=True))
_DIPHTHONG_PARTS = {"AW": ("ɑ", "ʊ"), "AY": ("ɑ", "ɪ"), "EY": ("e", "ɪ"), "OW": ("o", "ʊ"), "OY": ("ɔ", "ɪ")}
Phones = tuple[str, ...]
_table = panphon.FeatureTable()
_WEIGHTS: list[float] = _table.weights


@cache
def _features(ipa: str) -> tuple[float, ...]:
    return tuple(_table.word_fts(ipa)[0].numeric())[: len(_WEIGHTS)]  # the last two, tones, have no weight


@cache
def difference(one: str, other: str) -> float:
    """The weighted share of features, 0 to 1, in which two phones (ARPAbet or IPA) differ; of diphthongs, the mean."""
    parts = [_DIPHTHONG_PARTS.get(phone, (IPA.get(phone, phone),) * 2) for phone in (one, other)]
    costs = []
    for left, right in zip(*parts, strict=True):
        pairs = zip(_WEIGHTS, _features(left), _features(right), strict=True)
        costs.append(sum(weight * abs(a - b) / 2 for weight, a, b in pairs) / sum(_WEIGHTS))
    return sum(costs) / len(costs)


def distance(one: Phones, other: Phones) -> float:
    """0 (the same) to 1 (nothing in common) between two rows of phones."""
    row = [float(place) for place in range(len(other) + 1)]
    for count, phone in enumerate(one, 1):
        above, row = row, [float(count)]
        for place, other_phone in enumerate(other, 1):
            # Unlike phones differ in about half the weight of all features, so the share is doubled.
            exchange = above[place - 1] + min(1.0, 2 * difference(phone, other_phone))
            row.append(min(exchange, above[place] + 1, row[place - 1] + 1))
    return row[-1] / max(len(one), len(other), 1)


def dictionary() -> dict[str, list[Phones]]:
    """Every word of the shipped English dictionary with its pronunciations, in the file's order."""
    words: dict[str, list[Phones]] = {}
    for line in Path(get_model_path("en-us/cmudict-en-us.dict")).read_text(encoding="utf-8").splitlines():
        word, *phones = line.split()
        words.setdefault(word.split("(")[0], []).append(tuple(phones))
    return words


def ways(wording: str, known: dict[str, list[Phones]]) -> list[Phones]:
    """Every pronunciation of a wording; none where a word isn't in the dictionary."""
    if wording in known:
        return known[wording]
    each = [known.get(word.casefold(), []) for word in wording.split()]
    return [tuple(itertools.chain.from_iterable(way)) for way in itertools.product(*each)]


def spoken(texts: Sequence[str], language: str) -> dict[str, list[Phones]]:
    """How espeak-ng says each text, in IPA without stress and length."""
    command = ["espeak-ng", "-v", language, "-q", "--ipa"]
    lines = subprocess.run(command, input="\n\n".join(texts), capture_output=True, text=True, check=True).stdout
    said = [re.sub(r"\(\w+\)|[ˈˌː\s]", "", line) for line in lines.splitlines() if line.strip()]
    return {text: [tuple(_table.ipa_segs(ipa))] for text, ipa in zip(texts, said, strict=True)}


def apart(one: Iterable[Phones], other: Iterable[Phones]) -> float:
    """The least distance between any ways of saying two wordings."""
    return min((distance(a, b) for a, b in itertools.product(one, other)), default=1.0)


def frequent(count: int, known: dict[str, list[Phones]]) -> list[str]:
    """The most frequent words of the shipped English language model."""
    from pocketsphinx import Config, LogMath, NGramModel

    model = NGramModel(Config(), LogMath(1.0001), get_model_path("en-us/en-us.lm.bin"))
    return sorted(known, key=lambda word: -model.prob([word]))[:count]


def main() -> None:
    """Print the nearest pairs of wordings that mean different things, and each wording's nearest frequent words."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("wordings", nargs="*", help="candidates to compare with the vocabulary's wordings")
    parser.add_argument("--vocabulary", type=Path, default=ROOT / "audio_prompts" / "en" / "vocabulary.toml")
    parser.add_argument("--nearest", type=int, default=40, help="how many pairs to print")
    parser.add_argument("--against", type=int, default=5_000, help="how many frequent words to look among")
    asked = parser.parse_args()
    vocabulary = read_vocabulary(asked.vocabulary.read_text(encoding="utf-8"), asked.vocabulary.name)
    meanings = {wording: command.value for wording, command in vocabulary.wordings}
    meanings |= {wording: f"candidate {wording}" for wording in asked.wordings if wording not in meanings}
    language = vocabulary.language.split("-")[0]
    common_words: list[str] = []
    if language == "en":
        known = dictionary()
        common_words = frequent(asked.against, known)
    else:
        from wordfreq import top_n_list

        common_words = [word for word in top_n_list(language, asked.against) if word.isalpha()]
        known = spoken(list(dict.fromkeys([*meanings, *vocabulary.lookalikes, *common_words])), language)
    said = {wording: ways(wording, known) for wording in (*meanings, *vocabulary.lookalikes)}
    for wording in [wording for wording, spoken in said.items() if not spoken]:
        print(f"'{wording}' has a word that the dictionary doesn't know, and is left out.", file=sys.stderr)
        del said[wording]
    pairs = [
        (apart(said[one], said[other]), one, other)
        for one, other in itertools.combinations(said, 2)
        if one in meanings and meanings.get(one) != meanings.get(other)
    ]
    print(f"The {asked.nearest} nearest pairs of different meaning (look-alikes without one):")
    for far, one, other in sorted(pairs)[: asked.nearest]:
        print(f"  {far:.2f}  {one} ({meanings[one]}) - {other} ({meanings.get(other, 'look-alike')})")
    print(f"The nearest of the {asked.against} most frequent words to each wording:")
    common = [(word, known[word]) for word in common_words]
    for wording in [wording for wording in meanings if wording in said]:
        near = sorted((apart(said[wording], spoken), word) for word, spoken in common if word != wording)[:8]
        print(f"  {wording}: {', '.join(f'{word} {far:.2f}' for far, word in near)}")


if __name__ == "__main__":
    main()
