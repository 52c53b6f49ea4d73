"""How much is said of each move, over several sittings, and the braider's own cues."""

from __future__ import annotations

from argparse import Namespace

import pytest
from session_room import LevelVoice

from companion import library
from companion.cli import main
from companion.journal.store import open_journal
from companion.listening.vocabulary import Vocabulary
from companion.practice.commands import Command
from companion.practice.cues import Level, beginner
from companion.practice.events import Begun, Closed, End, Heard, Keep
from companion.practice.position import Position
from companion.practice.sequencer import begin, step
from companion.practice.state import Pace, Plan
from companion.session import words_choice
from companion.session.keeper import Keeper
from companion.session.mouth import Mouth
from companion.session.usage import UsageFault
from companion.speaking.player import SilentPlayer

CORD = "five-loop-square"
HEARD = Vocabulary("en", (("no", Command.NO), ("go back", Command.BACK), ("don't know", Command.DONT_KNOW)))


@pytest.fixture
def recipe():
    return library.load(CORD)


@pytest.fixture
def start(tmp_path, recipe):
    """A sitting at the cord, told the commands and closed; how the next one would begin, and its notes."""

    def sit(*commands: str, words: str | None = None, whole_cycle: bool = False, pace: Pace = Pace.STEP):
        notes: list[str] = []
        keeper = Keeper(tmp_path, notes.append)
        options = Namespace(words=words, whole_cycle=whole_cycle)
        coaching = words_choice.coaching(options, pace, recipe, keeper, HEARD, notes)
        keeper.begin(recipe, recipe.colourways[0].name, None, Position())
        state = begin(Plan(recipe, recipe.colourways[0], brief=True, coaching=coaching))
        for event in (Begun(), *(Heard(Command(command)) for command in commands), Closed()):
            state, effects = step(state, event)
            for effect in effects:
                if isinstance(effect, Keep):
                    keeper.keep(effect.kind, effect.key, effect.value)
                elif isinstance(effect, End):
                    keeper.end(effect.how)
        keeper.close()
        return coaching, notes

    return sit


@pytest.fixture
def home(tmp_path, monkeypatch):
    monkeypatch.setenv("COMPANION_HOME", str(tmp_path))
    return tmp_path


class TestSittings:
    def test_what_has_faded_is_faded_on_another_day(self, start):
        assert start(*["next"] * 31)[0] == beginner(6)
        again, notes = start()
        assert [skill.level for skill in again.skills] == [Level.SHORT] * 6
        assert notes == []

    def test_rows_that_were_begun_go_on(self, start):
        start(*["next"] * 19)
        assert [skill.steady for skill in start(*["next"] * 13)[0].skills] == [3] * 6
        assert [skill.level for skill in start()[0].skills] == [Level.SHORT] * 6

    def test_what_is_pinned_by_voice_stays_and_is_told(self, start):
        start("next", "only count", "next")
        again, notes = start("you choose")
        assert again.pinned is Level.COUNT
        assert notes == ['Every move is only counted, as you chose last time; "you choose" changes that.']
        assert start()[0].pinned is None

    def test_one_prompt_a_cycle_stays_too(self, start):
        start("next", "only count", "only count")
        again, notes = start("full words")
        assert again.whole_cycle
        assert notes == ['There is one prompt a cycle, as you chose last time; "full words" changes that.']
        assert not start()[0].whole_cycle

    def test_an_option_holds_for_its_sitting(self, start):
        start("next", "only count")
        assert start("next", words="full")[0].pinned is Level.FULL
        assert start(words="fade")[0].pinned is None
        assert start()[0].pinned is Level.COUNT

    def test_one_prompt_a_cycle_can_be_asked_for_at_the_start_but_not_of_a_beat(self, start):
        assert start(whole_cycle=True)[0].whole_cycle
        with pytest.raises(UsageFault, match="--pace step"):
            start(whole_cycle=True, pace=Pace.TIMED)

    def test_damaged_facts_are_as_if_there_were_none(self, start, tmp_path, recipe):
        start(*["next"] * 31)
        keeper = Keeper(tmp_path, pytest.fail)
        keeper.begin(recipe, "workshop", None, Position())
        for kind, key in (("level", "1"), ("words", "pinned"), ("cue", "2")):
            keeper.keep(kind, key, '{"level": "sh\x00')
        keeper.close()
        coaching, notes = start()
        assert coaching.skill(1) == beginner(6).skill(1)
        assert coaching.skill(2).level is Level.SHORT
        assert coaching.pinned is None
        assert coaching.cue(2) == ""
        assert "Move 2" in notes[0]


class TestCues:
    def cue(self, capsys, *arguments):
        status = main(["cue", CORD, *arguments])
        out, err = capsys.readouterr()
        return status, out.splitlines(), err.splitlines()

    def test_they_are_told_given_and_taken_back(self, home, capsys):
        first = " 1  Right index. Through two. Take ring. Turned.  "
        assert self.cue(capsys)[1][0] == f"{first}no cue"
        assert self.cue(capsys, "1", " ladder ") == (0, [f"{first}ladder"], [])
        assert self.cue(capsys, "3", "beat")[0] == 0
        assert [line.split("  ")[-1] for line in self.cue(capsys)[1]] == ["ladder", "no cue", "beat", *["no cue"] * 3]
        assert self.cue(capsys, "1", "") == (0, [f"{first}no cue"], [])
        assert self.cue(capsys, "1") == (0, [f"{first}no cue"], [])

    def test_hers_is_said_in_the_sittings_that_follow(self, home, capsys, start):
        self.cue(capsys, "1", "ladder")
        assert start()[0].cue(1) == "ladder"

    @pytest.mark.parametrize(
        ("move", "word", "sentence"),
        [
            ("0", "ladder", "five-loop-square has no move 0; its moves count from 1 to 6."),
            ("7", "ladder", "five-loop-square has no move 7; its moves count from 1 to 6."),
            (
                "1",
                "Go Back!",
                '"Go Back!" can\'t be a cue: "back" is a word that is listened for; choose another.',
            ),
            ("1", "no-one", '"no-one" can\'t be a cue: "no" is a word that is listened for; choose another.'),
            ("1", "a\nb", '"a\nb" can\'t be a cue: a cue must be one plain line; take out the line break.'),
            ("1", "!", '"!" can\'t be a cue: "!" holds no word that could be said; give a word or two.'),
            (
                "1",
                "x" * 31,
                f'"{"x" * 31}" can\'t be a cue: it has 31 characters, and at most 30 are allowed; give a word or two.',
            ),
        ],
    )
    def test_what_can_t_be_one_is_refused_in_a_sentence(self, home, capsys, move, word, sentence):
        status, out, err = self.cue(capsys, move, word)
        assert (status, out, "\n".join(err)) == (2, [], sentence)

    def test_an_unknown_cord_is_no_reason_for_a_journal(self, home, capsys):
        assert main(["cue", "no-such-cord"]) == 1
        assert "no-such-cord" in capsys.readouterr().err
        assert list(home.iterdir()) == []

    def test_one_that_a_new_vocabulary_listens_for_is_left_out_and_told(self, home, tmp_path, recipe, start):
        with open_journal(tmp_path) as journal:
            from companion.session.keeper import fingerprint, now

            journal.keep(CORD, fingerprint(recipe), "cue", "1", "don't know", now())
        coaching, notes = start()
        assert coaching.cue(1) == ""
        assert notes == [
            'Move 1 keeps its short words in place of your cue: "don\'t know" is a word that is listened for; '
            "choose another."
        ]

    @pytest.mark.parametrize("cue", ["nothing", "know", "background", "ladder"])
    def test_words_that_only_look_like_commands_may_be_cues(self, cue):
        assert words_choice.cue_fault(cue, HEARD) == ""


def test_the_tick_that_stands_for_a_move_comes_after_the_words_before_it_and_is_waited_for():
    clock = [0.0]
    player = SilentPlayer(lambda: clock[0])
    mouth = Mouth(LevelVoice(), player, pytest.fail)
    mouth.confirm()
    mouth.cue_tick()
    assert mouth.speaking
    assert not mouth.has_finished()
    clock[0] = 1.0
    assert mouth.has_finished()


@pytest.mark.slow
def test_over_two_starts_of_the_program(companion):
    live = ("practise", CORD, "--plain", "--brief", "--listen", "keys", "--voice", "off")
    companion("cue", CORD, "1", "ladder")
    companion(*live, keys="next\n" * 64 + "short words\n")
    again = companion(*live, keys="yes\nyou choose\n" + "next\n" * 4 + "only count\nonly count\n" + "next\n" * 7)
    assert again.of("say")[1:] == [
        *("Going on.", "Left index. Turned.", "As many words as you need.", "Five.", "Six."),
        *("Cycle one done.", "Ladder", "Two.", "Numbers alone.", "One prompt a cycle."),
        *("Three.", "Four.", "Five.", "Six.", "Cycle three.", "Cycle four.", "Cycle five."),
    ]
