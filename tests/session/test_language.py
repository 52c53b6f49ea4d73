"""A session speaks and listens in the language that was chosen, now or earlier; a language is only data."""

from __future__ import annotations

import shutil

import pytest

from companion import library
from companion.display.key_table import Key, Line, legend
from companion.practice.commands import Command
from companion.session import language, setting
from companion.session.keeper import Keeper
from companion.session.language import KEPT, chosen, of_command, of_session, read
from companion.session.usage import UsageFault


@pytest.fixture(autouse=True)
def home(tmp_path, monkeypatch):
    """A user's folder with a language of her own, in which only the greeting is different."""
    monkeypatch.setenv("COMPANION_HOME", str(tmp_path))
    monkeypatch.delenv(language.VARIABLE, raising=False)
    own = tmp_path / "languages" / "xx"
    shutil.copytree(library.prompt_folder() / "en", own, ignore=shutil.ignore_patterns("voices"))
    text = (own / "phrasebook.toml").read_text(encoding="utf-8")
    (own / "phrasebook.toml").write_text(text.replace("Welcome.", "Be greeted."), encoding="utf-8")
    return tmp_path


def kept(asked=None):
    """The language of a session for which this is asked, and what it was told."""
    notes = []
    keeper = Keeper(setting.data(), notes.append)
    try:
        return of_session(asked, keeper, notes), notes
    finally:
        keeper.close()


def test_english_where_nothing_was_chosen():
    assert kept() == ("en", [])


def test_what_was_chosen_is_kept_until_another_is_chosen():
    assert kept("xx")[0] == "xx"
    assert kept()[0] == "xx"
    assert of_command(None) == "xx"
    assert of_command("en") == "en"
    assert kept()[0] == "en"


def test_the_variable_is_followed_and_not_kept(monkeypatch):
    kept("en")
    monkeypatch.setenv(language.VARIABLE, "xx")
    assert kept()[0] == "xx"
    assert kept("en")[0] == "en"
    monkeypatch.delenv(language.VARIABLE)
    assert kept()[0] == "en"


def test_a_language_that_is_not_there_is_told_with_those_that_are(home):
    with pytest.raises(UsageFault, match=rf'there is no language "zz"; there are en, .*xx, .* in {home}'):
        chosen("zz", None, [])
    assert kept() == ("en", [])


@pytest.mark.parametrize("outside", ["..", "../languages/xx", "/", "xx/"])
def test_a_code_is_no_path(outside):
    with pytest.raises(UsageFault):
        chosen(outside, None, [])


def test_a_kept_language_whose_folder_has_gone_is_told_of(home):
    kept("xx")
    shutil.rmtree(home / "languages")
    code, notes = kept()
    assert code == "en"
    assert notes == ['The language "xx" of last time isn\'t there any more, so this is in en.']


def test_a_language_of_ones_own_needs_both_files(home):
    (home / "languages" / "xx" / "vocabulary.toml").unlink()
    assert "xx" not in library.languages(home / "languages")


def test_a_users_own_folder_is_read_and_comes_before_what_is_shipped(home):
    assert read("xx", None).book.phrases["greeting_short"] == "Be greeted."
    (home / "languages" / "xx").rename(home / "languages" / "en")
    assert read("en", None).book.phrases["greeting_short"] == "Be greeted."


def test_another_file_of_words_can_be_listened_for(home):
    file = home / "words.toml"
    file.write_text('language = "xx"\n[commands]\n"next" = ["forth"]\n', encoding="utf-8")
    assert [wording for wording, _ in read("xx", file).words.wordings] == ["forth"]


def test_a_journal_that_cannot_be_read_costs_only_the_keeping(home, capsys):
    (home / "journal.sqlite3").mkdir()
    for path in home.glob("journal*"):
        assert path.is_dir()
    assert of_command("xx") == "xx"
    assert KEPT in capsys.readouterr().err


def test_the_screen_offers_the_words_of_the_language():
    """Its labels stay English; what is to be said is not."""
    say = read("it", None).sayings
    assert legend((Command.NEXT, Command.BACK), say) == "avanti=space  indietro=b"
    assert say.next_asked == "Next? Say avanti or sì."
    assert [say.answer(name) for name in ("Light", "empty", "sky")] == ["chiaro", "vuoto", "sky"]


def test_in_english_the_screen_offers_what_it_always_did():
    say = read("en", None).sayings
    assert [say.command(command) for command in Command] == [command.value for command in Command]


def test_a_typed_line_is_read_in_the_language():
    typed = read("it", None).typed
    assert typed(Line("Avanti")) is Command.NEXT
    assert typed(Line("rosso scuro")) == Line("dark red")
    assert typed(Line("12,5")) == Line("12,5")
    assert typed(Key("1")) == Key("1")
    assert typed(Command.BACK) is Command.BACK
