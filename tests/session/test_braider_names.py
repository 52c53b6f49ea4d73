"""What braiders may be called."""

from __future__ import annotations

import pytest

from companion import library
from companion.listening.vocabulary import Vocabulary
from companion.practice.commands import Command
from companion.session.braider_names import LONGEST_NAME, braiders
from companion.session.usage import UsageFault

PAIR, SOLO = library.load("ten-loop-open-edge-two-braiders"), library.load("ten-loop-open-edge")
WORDS = Vocabulary("en", (("next", Command.NEXT), ("go back", Command.BACK), ("no", Command.NO)))


@pytest.mark.parametrize(
    ("listed", "names"),
    [
        (None, ("one", "two")),
        ("Ann,Bea", ("Ann", "Bea")),
        (" Ann , Bea Mary ", ("Ann", "Bea Mary")),
        ("Zoë,O’Hara", ("Zoë", "O’Hara")),
        ("Nora,Noel", ("Nora", "Noel")),
    ],
)
def test_names_stand_from_left_to_right(listed: str | None, names: tuple[str, ...]) -> None:
    assert braiders(PAIR, listed, WORDS) == names


@pytest.mark.parametrize(
    ("listed", "sentence"),
    [
        ("Ann", "2 names"),
        ("Ann,Bea,Cleo", "2 names"),
        ("Ann,", "1 to 12 letters"),
        ("Ann,B3", "1 to 12 letters"),
        ("Ann," + "B" * (LONGEST_NAME + 1), "1 to 12 letters"),
        ("Ann,Bea\n", None),
        ("Ann,Bea\nNext", "can't be called out"),
        ("Ann,Next", "listened for"),
        ("Ann,no", "listened for"),
        ("Ann,Go Back", "listened for"),
        ("Ann,ann", "one name"),
    ],
)
def test_what_can_t_be_called_out_is_refused_in_one_sentence(listed: str, sentence: str | None) -> None:
    if sentence is None:
        assert braiders(PAIR, listed, WORDS) == ("Ann", "Bea")
        return
    with pytest.raises(UsageFault) as fault:
        braiders(PAIR, listed, WORDS)
    assert sentence in str(fault.value)
    assert str(fault.value).endswith(".")


def test_who_braids_alone_needs_no_name() -> None:
    assert braiders(SOLO, None, WORDS) == ("one",)
    with pytest.raises(UsageFault, match="one braider"):
        braiders(SOLO, "Ann", WORDS)
