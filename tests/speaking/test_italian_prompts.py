"""A walk through a session in Italian, in whole sentences: word order, genders and plurals as a braider hears them."""

from __future__ import annotations

import pytest

from companion import library
from companion.library import PHRASEBOOK, language_file
from companion.loops.loop_history import how_it_lies
from companion.practice import cord_talk, dropped, lesson_talk, pace_talk, search_talk, talk
from companion.practice.lesson import planned
from companion.practice.measuring import Range
from companion.practice.position import Position
from companion.practice.progress import Left
from companion.practice.search import Ask, Found
from companion.practice.state import Plan, State
from companion.practice.wording import count_prompt, loading_prompts
from companion.speaking.braider_names import with_names
from companion.speaking.phrasebook import Phrasebook
from companion.speaking.phrasebook_reading import read_phrasebook


@pytest.fixture(scope="module")
def italian() -> Phrasebook:
    path = language_file("it", PHRASEBOOK)
    return read_phrasebook(path.read_text(encoding="utf-8"), str(path))


def plan_of(name: str) -> Plan:
    recipe = library.load(name)
    return Plan(recipe, recipe.colourways[0])


SQUARE, TWO = plan_of("five-loop-square"), plan_of("ten-loop-open-edge-two-braiders")
BEGUN = State(SQUARE, position=Position(2))


def test_loading(italian: Phrasebook) -> None:
    assert [italian.text(prompt) for prompt in loading_prompts(SQUARE.recipe, SQUARE.colourway)] == [
        "Prima monta i cappi. Palmi affacciati, indici al centro.",
        "Cinque cappi, quattro chiari, uno scuro.",
        "Mano sinistra. Anulare, medio, chiaro. Indice, scuro. Mano destra. Anulare, medio, chiaro.",
        "Dimmi quando i cappi sono al loro posto.",
    ]


def test_moves_and_their_undoing(italian: Phrasebook) -> None:
    said = [(italian.text(talk.move(SQUARE, n)), italian.text(talk.undo(SQUARE, n))) for n in (1, 2, 3)]
    assert said == [
        (
            "Indice destro. Attraverso due. Prendi l'anulare. Girato.",
            "Disfa. Indice destro. Attraverso due. All'anulare sinistro. Togli il giro.",
        ),
        (
            "Mano sinistra. Dal medio all'anulare. Dall'indice al medio.",
            "Disfa. Mano sinistra. Dal medio all'indice. Dall'anulare al medio.",
        ),
        ("Stringi.", "La stretta resta com'è."),
    ]


def test_two_braiders(italian: Phrasebook) -> None:
    assert [italian.text(talk.move(TWO, n)) for n in (1, 3, 9)] == [
        "Indici vicini. Attraverso due. Prendi il mignolo. Girato.",
        "Mani vicine. Sposta tre cappi. Verso l'interno.",
        "Scambia i medi. Due dentro uno. Girati entrambi.",
    ]


def test_braiders_by_name(italian: Phrasebook) -> None:
    named = with_names(italian, ("Ada", "Bice"))
    assert named.text(talk.move(TWO, 9)) == "Scambia i medi. Bice dentro Ada. Girati entrambi."
    assert named.text(talk.apart(TWO, 3)).startswith("Ada: Mano destra. Sposta tre cappi.")


def test_where_am_i(italian: Phrasebook) -> None:
    assert [italian.text(prompt) for prompt in talk.where(BEGUN)] == [
        "Ciclo uno di cinque, rapporto uno, passo tre di sei.",
        "A seguire: Stringi.",
        "Le mani tengono: Mano sinistra. Anulare, chiaro. Medio, scuro. Mano destra. Anulare, medio, indice, chiaro.",
    ]
    assert italian.text(talk.offer(BEGUN)) == (
        "L'ultima volta eravamo al ciclo uno di cinque, rapporto uno, passo tre di sei. Riprendiamo da lì?"
    )


def test_counts(italian: Phrasebook) -> None:
    assert italian.text(count_prompt(5, 5, 2)) == "Ciclo cinque fatto. Rapporto due fatto."
    assert italian.text(count_prompt(1, 1, 121)) == "Ciclo centoventuno fatto."


@pytest.mark.parametrize(
    ("made", "words"),
    [
        (1, "Hai fatto un passo. Ben intrecciato. Arrivederci."),
        (6, "Hai fatto un ciclo. Ben intrecciato. Arrivederci."),
        (7, "Hai fatto un ciclo e un passo. Ben intrecciato. Arrivederci."),
        (20, "Hai fatto tre cicli e due passi. Ben intrecciato. Arrivederci."),
    ],
)
def test_the_sum_at_the_end(italian: Phrasebook, made: int, words: str) -> None:
    assert italian.text(talk.report(State(SQUARE, position=Position(made)))) == words


@pytest.mark.parametrize(
    ("cycles", "seconds", "words"),
    [
        ((3, 4, 5), (1000, 2000, 3000), "Restano da tre a cinque cicli, da quindici a cinquanta minuti."),
        ((1, 2, 3), None, "Restano da un ciclo a tre cicli."),
        ((1, 1, 1), (60, 60, 60), "Resta un ciclo, circa un minuto."),
        ((10, 10, 10), (3600, 4000, 4200), "Restano dieci cicli, circa un'ora e cinque minuti."),
        ((9, 10, 11), (3600, 5400, 7200), "Restano circa dieci cicli, da un'ora a due ore."),
    ],
)
def test_what_remains(italian: Phrasebook, cycles: tuple, seconds: tuple | None, words: str) -> None:
    left = Left(Range(*cycles), Range(*seconds) if seconds else None)
    assert italian.text(cord_talk.remaining(left)) == words


@pytest.mark.parametrize(
    ("made", "goal", "words"),
    [
        (1, 1, "L'unico ciclo è fatto."),
        (1, 10, "Un ciclo su dieci è fatto."),
        (3, 10, "Tre cicli su dieci sono fatti."),
    ],
)
def test_made_of_a_goal(italian: Phrasebook, made: int, goal: int, words: str) -> None:
    assert italian.text(cord_talk._made_of(made, goal)) == words


@pytest.mark.parametrize(
    ("per_cm", "words"),
    [
        ((0.9, 1, 1.1), "Circa un ciclo al centimetro"),
        ((1, 1.5, 2), "Da un ciclo a due cicli al centimetro"),
        ((0.4, 0.5, 0.9), "Da uno virgola uno a due virgola cinque centimetri per ciclo"),
    ],
)
def test_what_was_measured(italian: Phrasebook, per_cm: tuple, words: str) -> None:
    assert italian.text(cord_talk.rate(Range(*per_cm))) == words


def test_pace_and_rests(italian: Phrasebook) -> None:
    assert italian.text(pace_talk.pace(4.5)) == "Il tuo ritmo: quattro virgola cinque secondi."
    assert italian.text(pace_talk.pace(1)) == "Il tuo ritmo: un secondo."
    assert italian.text(cord_talk.rest(61, caution=True)) == (
        "Intrecci da un'ora e un minuto. Fai riposare un po' le mani. Lascia pendere le braccia, apri e chiudi le mani."
        " Se un dito formicola o si addormenta, per oggi smetti."
    )


def test_a_lost_place(italian: Phrasebook) -> None:
    place = SQUARE.recipe.loops[0]
    assert italian.text(search_talk.question(SQUARE, Ask(place))).endswith(". Di che colore?")
    assert italian.text(search_talk.found(SQUARE, Found(7, True, True))) == (
        "Sei al ciclo due di cinque, rapporto uno, passo due di sei. Se il lavoro è vicino a dove eravamo."
        " Se è già stretto, stringere due volte non guasta."
    )


def test_a_dropped_loop(italian: Phrasebook) -> None:
    held = next(loop for loop in SQUARE.hands(1).loops if loop.place.finger.value == "index")
    lies = how_it_lies(SQUARE.recipe, 1, held)
    assert italian.text(dropped.lay(SQUARE.recipe, SQUARE.colourway, lies)) == (
        "Indice sinistro. Scuro. Ci passa attraverso: Indice destro."
    )


def test_a_lesson(italian: Phrasebook) -> None:
    lesson = planned(SQUARE.recipe)
    assert italian.text(lesson_talk.stage_begins(lesson)) == "Parte uno di due. Mano destra. Prima lentamente."
    assert italian.text(lesson_talk.learnt(lesson, 1)) == (
        "Imparato. Il ciclo intero è riuscito una volta. Ben intrecciato. Arrivederci."
    )
    assert italian.text(lesson_talk.learnt(lesson, 3)).startswith("Imparato. Il ciclo intero è riuscito tre volte.")
