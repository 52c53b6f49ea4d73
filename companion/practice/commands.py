"""The words of command that a braider can give, whatever ear, key or pedal brings them.

The value is the command's name: on the plain lines, in the journal and in vocabulary files.
"""

from __future__ import annotations

from enum import Enum


class Command(Enum):
    """One thing a braider can ask for."""

    NEXT = "next"
    BACK = "back"
    AGAIN = "again"
    WHERE = "where am I"
    PAUSE = "pause"
    CARRY_ON = "carry on"
    SLOWER = "slower"
    FASTER = "faster"
    FINISH = "finish"
    YES = "yes"
    NO = "no"
    LOST = "lost"
    DROPPED = "dropped"
    DONT_KNOW = "don't know"
    HOW_FAR = "how far"
    MEASURED = "measured"
    MY_PACE = "my pace"
    FULL_WORDS = "full words"
    SHORT_WORDS = "short words"
    ONLY_COUNT = "only count"
    YOU_CHOOSE = "you choose"
