"""Asking for a model: what is told before, meanwhile and after. The server is on this machine."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "listening"))

from model_server import NAME, WHOLE, ModelServer

from companion.listening.models import check_model, installed_model
from companion.session import get_model as room
from companion.session.get_model import get_the_model

CUT = 1_500


@pytest.fixture
def server():
    offer = ModelServer()
    offer.start()
    yield offer
    offer.close()


@pytest.fixture
def data(tmp_path, monkeypatch):
    """The user's data folder."""
    monkeypatch.setenv("COMPANION_HOME", str(tmp_path))
    return tmp_path


def fetch(server, answer, monkeypatch, sure=False):
    monkeypatch.setattr("builtins.input", lambda: answer)
    return get_the_model(sure, server.source, check_model)


def test_name_size_licence_and_address_are_told_before_anything_is_asked_for(server, data, monkeypatch, capsys):
    assert fetch(server, "no", monkeypatch) == 0
    shown = capsys.readouterr().out
    assert all(told in shown for told in (NAME, "1 MB", "Apache-2.0", server.source.address, "Nothing was fetched."))
    assert server.asked == []


@pytest.mark.parametrize(("listed", "says"), [(True, "md5 sum are those"), (False, "can't be had now")])
def test_a_yes_fetches_it_and_tells_what_was_compared(server, data, monkeypatch, capsys, listed, says):
    if listed:
        server.list_it()
    assert fetch(server, "yes", monkeypatch) == 0
    shown = capsys.readouterr().out
    assert says in shown
    assert str(installed_model(data)) in shown
    assert f"{len(WHOLE) / 1000:.1f}/{len(WHOLE) / 1000:.1f} kB" in shown, "how much has come"


def test_a_model_that_is_there_already_is_told_before_it_is_replaced(server, data, monkeypatch, capsys):
    fetch(server, "yes", monkeypatch)
    assert "there already" not in capsys.readouterr().out
    fetch(server, "no", monkeypatch)
    assert f"there already, whole, at {installed_model(data)}" in capsys.readouterr().out


def test_what_broke_off_is_told_in_one_line_and_gone_on_with(server, data, monkeypatch, capsys):
    server.cut_after = CUT
    assert fetch(server, "", monkeypatch, sure=True) == 1
    told = capsys.readouterr().err.strip()
    assert "are kept; ask again to go on." in told
    assert len(told.splitlines()) == 1
    server.cut_after = None
    assert fetch(server, "y", monkeypatch) == 0
    assert f"{CUT} bytes of {len(WHOLE)} bytes are kept; only the rest is fetched." in capsys.readouterr().out
    assert server.ranges == [None, f"bytes={CUT}-"]


def test_ctrl_c_is_told_in_one_line(server, data, monkeypatch, capsys):
    def pressed(*arguments):
        raise KeyboardInterrupt

    monkeypatch.setattr(room, "get_model", pressed)
    assert fetch(server, "y", monkeypatch) == 1
    assert capsys.readouterr().err == "Stopped. Nothing is kept.\n"
