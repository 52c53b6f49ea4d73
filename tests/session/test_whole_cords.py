"""Whole cords through sound: a braider who speaks, a program that answers, and a report that is right to the cycle."""

from __future__ import annotations

from pathlib import Path

import pytest
from session_dialogue import Dialogue

from companion.cli import main
from companion.session import practise
from companion.session.conduct import Conduct


class Talk:
    """Runs the program on a dialogue; ``state`` is what the session has come to."""

    def __init__(self, folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
        self._folder = folder
        self._capsys = capsys
        self._monkeypatch = monkeypatch
        self.state = None
        monkeypatch.setenv("COMPANION_HOME", str(folder / "home"))
        plain = practise.PRACTICE
        monkeypatch.setattr(practise, "PRACTICE", Conduct(self._noting(plain.step), plain.view))

    def _noting(self, step):
        def noted(state, event):
            self.state, effects = step(state, event)
            return self.state, effects

        return noted

    def run(self, *arguments: str, says) -> list[str]:
        """The lines of a run in which the braider says what ``says`` gives for the state."""
        dialogue = Dialogue(self._folder, lambda: says(self.state))
        self._monkeypatch.setattr(practise, "open_world", lambda options: dialogue)
        assert main(["practise", *arguments, "--plain", "--voice", "clips"]) == 0
        self.dialogue = dialogue
        return self._capsys.readouterr().out.splitlines()


@pytest.fixture
def talk(tmp_path, monkeypatch, capsys):
    return Talk(tmp_path, monkeypatch, capsys)
