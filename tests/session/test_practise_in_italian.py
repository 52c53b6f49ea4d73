"""A session in Italian from a sound file to a sound file: what is said is heard, and what is spoken is Italian.

The braider is espeak-ng's Italian voice; the built-in ear has learnt from its like, so this says nothing of people.
"""

from __future__ import annotations

import json

import pytest
import soundfile

pytestmark = pytest.mark.slow

ITALIAN = ("practise", "five-loop-square", "--plain", "--brief")


def test_a_whole_session_in_italian(companion, script, tmp_path):
    said = (2, "avanti", 7, "avanti", 7, "indietro", 7, "avanti", 7, "dove sono", 22, "ho finito", 5, "sì", 6)
    words, out = script(*said, voice="espeak-it+f3"), tmp_path / "out.wav"
    done = companion(*ITALIAN, "--language", "it", "--from-audio", words.path, "--to-audio", out)
    assert (done.status, done.err) == (0, "")
    assert done.of("heard") == ["next", "next", "back", "next", "where am I", "finish", "yes"]
    assert done.of("say") == [
        "Indice destro. Attraverso due. Prendi l'anulare. Girato.",
        "Mano sinistra. Dal medio all'anulare. Dall'indice al medio.",
        "Disfa. Mano sinistra. Dal medio all'indice. Dall'anulare al medio.",
        "Mano sinistra. Dal medio all'anulare. Dall'indice al medio.",
        "Ciclo uno di cinque, rapporto uno, passo due di sei.",
        "A seguire: Mano sinistra. Dal medio all'anulare. Dall'indice al medio.",
        "Le mani tengono: Mano sinistra. Medio, chiaro. Indice, scuro. Mano destra. Anulare, medio, indice, chiaro.",
        "Ci fermiamo qui?",
        "Hai fatto un passo. Ben intrecciato. Arrivederci.",
    ]
    assert soundfile.info(str(out)).duration > 15
    entries = json.loads(companion("journal", "--json").out)["tables"]["entry"]
    moves = [(entry["kind"], entry["prompted"]) for entry in entries if entry["kind"] in ("next", "back", "finish")]
    assert moves == [("next", 1), ("next", 2), ("back", 1), ("next", 2), ("finish", 2)]


def test_the_language_is_kept_until_another_is_chosen(companion, script):
    silence = script(3.0)
    assert companion(*ITALIAN, "--voice", "off", "--language", "it", "--from-audio", silence.path).status == 0
    told = companion("cue", "five-loop-square", "1")
    assert "Indice destro. Attraverso due." in told.out
    assert "Right index." in companion("cue", "five-loop-square", "1", "--language", "en").out
    unknown = companion("cue", "five-loop-square", "--language", "zz")
    assert (unknown.status, unknown.err.count("\n")) == (2, 1)
    assert 'there is no language "zz"; there are en, it' in unknown.err
