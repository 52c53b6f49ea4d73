"""How sensitive the ear is and whether headphones keep it open is chosen once, and holds until chosen otherwise."""

from __future__ import annotations

from argparse import Namespace

import pytest

from companion.cli import main
from companion.session import ear_choice
from companion.session.keeper import Keeper


@pytest.fixture
def home(tmp_path, monkeypatch):
    monkeypatch.setenv("COMPANION_HOME", str(tmp_path))
    return tmp_path


def chosen(home, sensitivity=None, headphones=None) -> tuple[str, bool]:
    """What holds for a session in which this is asked for."""
    options = Namespace(sensitivity=sensitivity, headphones=headphones)
    notes: list[str] = []
    keeper = Keeper(home, notes.append)
    ear_choice.of_session(options, keeper, notes)
    keeper.close()
    assert notes == []
    return options.sensitivity, options.headphones


def test_at_first_it_is_normal_and_without_headphones(home):
    assert chosen(home) == ("normal", False)


def test_what_was_chosen_holds_for_the_following_sessions(home):
    assert chosen(home, "careful", True) == ("careful", True)
    assert chosen(home) == ("careful", True)
    assert chosen(home, headphones=False) == ("careful", False)
    assert chosen(home, "eager") == ("eager", False)
    assert chosen(home) == ("eager", False)


def test_what_was_kept_and_means_nothing_is_as_if_it_weren_t_there(home):
    keeper = Keeper(home, lambda note: None)
    keeper.keep_setting("sensitivity", "sharp")
    keeper.close()
    assert chosen(home) == ("normal", False)


def test_the_sound_check_keeps_it_too(home, capsys):
    main(["sound-check", "--sensitivity", "careful", "--headphones", "--listen", "keys", "--seconds", "0.1"])
    assert chosen(home) == ("careful", True)
