"""Whatever way a session ends, the next one offers the very move; nothing in the journal is ever lost."""

from __future__ import annotations

import signal
from pathlib import Path

import pytest
from session_words import AFTER_TWO_MOVES, FIRST, FOURTH, THIRD, THIRD_MOVE_OFFERED

from companion.journal.store import open_journal
from companion.practice.position import Position

pytestmark = pytest.mark.slow

CORD = "five-loop-square"
LIVE = ("practise", CORD, "--plain", "--brief", "--listen", "keys", "--voice", "off")
KILLED_OR_TOLD = [signal.SIGKILL, signal.SIGTERM, signal.SIGHUP, signal.SIGINT]


def braid_three_moves(start, *options):
    """A session on keys that stands at its third move."""
    live = start(*LIVE, *options)
    live.wait_for("move: 0/6")
    live.press("next", "next", "next")
    live.wait_for(f"say: {THIRD}")
    return live


def sessions(home):
    with open_journal(home / "companion") as journal:
        return journal.sessions()


@pytest.mark.parametrize("how", KILLED_OR_TOLD, ids=lambda how: how.name)
def test_a_session_ended_by_a_signal_is_taken_up_at_the_very_move(start, companion, how):
    live = braid_three_moves(start)
    live.tell(how)
    status = live.end()
    assert status == (-signal.SIGKILL if how is signal.SIGKILL else 0)
    again = companion(*LIVE, keys="")
    assert again.of("say") == [THIRD_MOVE_OFFERED]
    assert again.of("move") == ["3/6 cycle: 1/5 repeat: 1"]


def test_a_move_is_on_disk_when_its_line_appears(start, home):
    """The kill comes right behind the line, while the prompt would still sound."""
    live = start(*LIVE)
    live.wait_for("move: 0/6")
    for number in (1, 2, 3, 4):
        live.press("next")
        live.wait_for(f"move: {number}/6")
    live.tell(signal.SIGKILL)
    live.end()
    with open_journal(home / "companion") as journal:
        last = journal.last(CORD)
    assert last is not None
    assert last.position == Position(4, under_way=True)


@pytest.mark.parametrize("answer", ["yes", "carry on", "next"])
def test_yes_goes_on_with_the_very_move(start, companion, answer):
    live = braid_three_moves(start)
    live.tell(signal.SIGKILL)
    live.end()
    again = companion(*LIVE, keys=f"{answer}\nnext\n")
    assert again.status == 0
    assert again.of("say") == [
        THIRD_MOVE_OFFERED,
        "Going on.",
        THIRD,
        FOURTH,
    ]
    assert again.of("move")[-1] == "4/6 cycle: 1/5 repeat: 1"


def test_carrying_on_tells_what_the_hands_hold_unless_brief(start, companion):
    live = braid_three_moves(start)
    live.tell(signal.SIGKILL)
    live.end()
    not_brief = tuple(option for option in LIVE if option != "--brief")
    again = companion(*not_brief, keys="yes\n")
    assert AFTER_TWO_MOVES in again.of("say")


def test_no_begins_anew(start, companion):
    braid_three_moves(start).tell(signal.SIGKILL)
    again = companion(*LIVE, keys="no\nnext\n")
    assert again.of("move")[-1] == "1/6 cycle: 1/5 repeat: 1"
    assert again.of("say")[-1] == FIRST


def test_a_session_killed_at_the_offer_is_offered_again(start, companion):
    braid_three_moves(start).tell(signal.SIGKILL)
    offered = start(*LIVE)
    offered.wait_for("say: Last time")
    offered.tell(signal.SIGKILL)
    offered.end()
    assert companion(*LIVE).of("say") == [THIRD_MOVE_OFFERED]


def test_fresh_begins_anew_and_deletes_nothing(start, companion, home):
    braid_three_moves(start).tell(signal.SIGKILL)
    before = sessions(home)
    fresh = companion(*LIVE, "--fresh", keys="next\n")
    assert fresh.of("move") == ["0/6 cycle: 1/5 repeat: 1", "1/6 cycle: 1/5 repeat: 1"]
    after = sessions(home)
    assert after[: len(before)] == before
    assert len(after) == len(before) + 1
    with open_journal(home / "companion") as journal:
        assert [entry.position.prompted for entry in journal.entries(before[0].id)][-1] == 3


def test_a_completed_cord_is_not_offered(companion):
    done = companion(*LIVE, "--cycles", "1", keys="next\n" * 7)
    assert done.status == 0
    assert done.of("say")[-1] == "You made one cycle. Well braided. Goodbye."
    again = companion(*LIVE)
    assert again.of("say") == []
    assert again.of("move") == ["0/6 cycle: 1/5 repeat: 1"]


def test_a_finished_session_is_offered(companion):
    companion(*LIVE, keys="next\nnext\nnext\nfinish\nyes\n")
    assert companion(*LIVE).of("say") == [THIRD_MOVE_OFFERED]


def test_back_is_remembered_as_well(companion):
    companion(*LIVE, keys="next\nnext\nback\n")
    (offer,) = companion(*LIVE).of("say")
    assert "move one of six" in offer, "the second move's prompt was taken back as it began"
    again = companion(*LIVE, keys="yes\n")
    assert again.of("say")[-1] == FIRST


def own_copy(tmp_path: Path) -> Path:
    source = Path(__file__).parents[2] / "recipes" / f"{CORD}.toml"
    copy = tmp_path / "purse-string.toml"
    copy.write_bytes(source.read_bytes())
    return copy


def test_a_changed_recipe_is_noticed_in_one_sentence(companion, tmp_path):
    own = own_copy(tmp_path)
    on_own = ("practise", own, *LIVE[2:])
    companion(*on_own, keys="next\nnext\nnext\n")
    text = own.read_text(encoding="utf-8")
    own.write_text(text.replace('turned = "inward"\n', "", 1), encoding="utf-8")
    again = companion(*on_own)
    (note,) = again.of("note")
    assert "changed since last time" in note
    assert note.count(".") == 1
    assert again.of("say") == []
    assert again.of("move") == ["0/6 cycle: 1/5 repeat: 1"]


def test_a_comment_or_a_wording_is_no_change(companion, tmp_path):
    own = own_copy(tmp_path)
    on_own = ("practise", own, *LIVE[2:])
    companion(*on_own, keys="next\nnext\nnext\n")
    text = own.read_text(encoding="utf-8").replace("Square cord", "Purse string")
    own.write_text(f"# for the second act\n{text}", encoding="utf-8")
    again = companion(*on_own)
    assert again.of("note") == []
    assert again.of("say") == [THIRD_MOVE_OFFERED]


def test_another_colourway_begins_anew_and_says_so(companion):
    companion(*LIVE, keys="next\nnext\nnext\n")
    other = companion(*LIVE, "--colourway", "halves")
    (note,) = other.of("note")
    assert '"workshop"' in note
    assert other.of("say") == []


def test_the_colourway_of_last_time_is_kept(companion):
    companion(*LIVE, "--colourway", "halves", keys="next\nnext\nnext\n")
    again = companion(*LIVE, keys="yes\nwhere am I\n")
    assert any("Right hand. Ring, middle, light. Index, dark." in text for text in again.of("say"))


def test_a_reader_that_goes_away_ends_the_session_with_its_place_kept(start, companion):
    """As with ``companion practise --plain | head``."""
    live = braid_three_moves(start)
    live.no_more_readers()
    live.press("again")
    assert live.end() == 0
    assert live.err == []
    assert companion(*LIVE).of("say") == [THIRD_MOVE_OFFERED]


def test_the_end_of_the_keys_ends_a_session_that_listens_to_nothing_else(start, companion):
    live = braid_three_moves(start)
    live.no_more_keys()
    assert live.end() == 0
    assert companion(*LIVE).of("say") == [THIRD_MOVE_OFFERED]


def test_ctrl_c_while_the_last_words_sound_ends_at_once(start, companion, home):
    """With a silent clock for the voice: the last words would take some seconds."""
    live = start(*(option for option in LIVE if option not in ("--voice", "off")), "--voice", "clips")
    live.wait_for("move: 0/6")
    live.press("next", "finish", "yes")
    live.wait_for("say: Well braided")
    live.tell(signal.SIGINT)
    assert live.end() == 0
    assert sessions(home)[-1].how == "finished"


def test_two_sessions_at_once_don_t_disturb_each_other(start, companion, home):
    one, other = start(*LIVE), start("practise", "five-loop-flat", *LIVE[2:])
    for live in (one, other):
        live.wait_for("move: 0/")
        live.press("next", "next")
    for live in (one, other):
        live.wait_for("move: 2/")
        live.no_more_keys()
        assert live.end() == 0
    assert [one_session.how for one_session in sessions(home)] == ["closed", "closed"]
