"""Plain lines: one for each event."""

from __future__ import annotations

import io
import os

from hypothesis import given
from hypothesis import strategies as st

from companion.display.plain import PlainLines
from companion.practice.view import View


def test_each_event_is_a_line(samples: dict[str, View]) -> None:
    out = io.StringIO()
    lines = PlainLines(out.write)
    lines.say("Right index. Through two.")
    lines.heard("next")
    lines.unsure("neck")
    lines.move(samples["five loops"])
    lines.note("No microphone was found.")
    assert out.getvalue() == (
        "say: Right index. Through two.\n"
        "heard: next\n"
        "unsure: neck\n"
        "move: 3/6 cycle: 2/5 repeat: 4\n"
        "note: No microphone was found.\n"
    )


def test_every_line_is_flushed_at_once() -> None:
    events: list[str] = []
    lines = PlainLines(events.append, lambda: events.append("flush"))
    lines.say("Tighten.")
    lines.heard("next")
    assert events == ["say: Tighten.\n", "flush", "heard: next\n", "flush"]


@given(st.text())
def test_whatever_the_text_it_stays_one_line_without_control_signs(text: str) -> None:
    out: list[str] = []
    PlainLines(out.append).say(text)
    (line,) = out
    assert line.startswith("say:")
    assert line.endswith("\n")
    assert line[:-1].isprintable()


def test_signs_that_the_encoding_lacks_are_replaced() -> None:
    raw = io.BytesIO()
    lines = PlainLines.to(io.TextIOWrapper(raw, encoding="ascii", write_through=True))
    lines.heard("다음")
    assert raw.getvalue() == b"heard: ??\n"


def test_a_closed_pipe_is_told_once_and_is_no_error() -> None:
    told = []
    reading, writing = os.pipe()
    with os.fdopen(writing, "w", encoding="utf-8") as stream:
        lines = PlainLines.to(stream, lambda: told.append("closed"))
        lines.say("Tighten.")
        assert os.read(reading, 100) == b"say: Tighten.\n"
        os.close(reading)
        lines.say("Right index.")
        lines.say("Left index.")
        assert lines.closed
        assert told == ["closed"]
    # Leaving the block flushes the stream once more: it must not fail either.


def test_a_closed_stream_is_told_too() -> None:
    stream = io.StringIO()
    lines = PlainLines.to(stream)
    stream.close()
    lines.note("Nobody reads this.")
    assert lines.closed
