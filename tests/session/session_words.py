"""What the companion says for the shipped square cord of five loops, as a braider hears it. In one place only."""

from __future__ import annotations

FIRST = "Right index. Through two. Take ring. Turned."
SECOND = "Left hand. Middle to ring. Index to middle."
THIRD = "Tighten."
FOURTH = "Left index. Through two. Take ring. Turned."
UNDO_SECOND = "Undo. Left hand. Middle to index. Ring to middle."
LOADED = "The hands hold: Left hand. Ring, middle, light. Index, dark. Right hand. Ring, middle, light."
AFTER_TWO_MOVES = "The hands hold: Left hand. Ring, light. Middle, dark. Right hand. Ring, middle, index, light."
HALVES_LOADED = "Left hand. Ring, middle, index, dark. Right hand. Ring, middle, light."
THIRD_MOVE_OFFERED = (
    "Last time you stopped at cycle one of five, repeat one, move three of six. Shall we go from there?"
)
