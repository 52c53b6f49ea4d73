"""Counts made of what an ear did: recall, confusions, false accepts an hour with bounds, delays. Pure functions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.stats import chi2


@dataclass(frozen=True)
class Said:
    """One word that was said to an ear, and what came of it.

    Args:
        voice, kind, condition, wording, speed: what was said, by whom, and in what.
        command: the command's name.
        heard: the commands heard, in order.
        unsure: how many hearings held no command.
        delay_s: from the word's end to the first hearing of the right command, in sound time; None when it was missed.
        wall_delay_s: the same with the time that computing took; blocks wait for those before them.
    """

    voice: str
    kind: str
    condition: str
    wording: str
    command: str
    speed: float
    heard: tuple[str, ...]
    unsure: int
    delay_s: float | None
    wall_delay_s: float | None

    @property
    def is_heard(self) -> bool:
        """The first command heard was the right one."""
        return self.heard[:1] == (self.command,)

    @property
    def confused(self) -> tuple[str, ...]:
        """Commands heard that were not said."""
        return tuple(heard for heard in self.heard if heard != self.command)


@dataclass(frozen=True)
class Accept:
    """A command heard where none was meant: in which piece, at which second, and whether the piece really says one."""

    kind: str
    recording: str
    command: str
    wording: str
    second: float
    piece: str
    text: str
    is_said: bool


@dataclass(frozen=True)
class Listened:
    """One recording without commands that an ear heard: seconds that count, seconds of pieces that do say a command."""

    kind: str
    recording: str
    seconds: float
    said_seconds: float
    unsure: int
    cpu_s: float
    accepts: tuple[Accept, ...]


def poisson_bounds(count: int, confidence: float = 0.95) -> tuple[float, float]:
    """Exact central bounds of a Poisson mean of which `count` events were seen.

    Source: Garwood 1936, Biometrika 28, 437-442, doi 10.1093/biomet/28.3-4.437.
    """
    tail = (1 - confidence) / 2
    low = float(chi2.ppf(tail, 2 * count)) / 2 if count else 0.0
    return low, float(chi2.ppf(1 - tail, 2 * count + 2)) / 2


def recall_rows(said: Iterable[Said], key: Callable[[Said], tuple[str, ...]]) -> list[dict[str, Any]]:
    """For each group of `key`, in order of first appearance: counts, recall, delays in ms."""
    groups: dict[tuple[str, ...], list[Said]] = {}
    for one in said:
        groups.setdefault(key(one), []).append(one)
    return [{"group": list(group), **_recall(members)} for group, members in groups.items()]


def _recall(members: Sequence[Said]) -> dict[str, Any]:
    heard = [one for one in members if one.is_heard]
    missed = Counter(one.wording for one in members if not one.is_heard)
    return {
        "said": len(members),
        "heard": len(heard),
        "recall": len(heard) / len(members),
        "confused": sum(bool(one.confused) for one in members),
        "doubled": sum(one.heard.count(one.command) > 1 for one in members),
        "unsure": sum(one.unsure > 0 for one in members),
        "delay_ms": _percentiles([one.delay_s for one in heard]),
        "wall_delay_ms": _percentiles([one.wall_delay_s for one in heard]),
        "missed": dict(missed.most_common()),
    }


def _percentiles(seconds: Sequence[float | None]) -> list[float] | None:
    """Median and 95th percentile in ms, None of nothing."""
    known = [second * 1_000 for second in seconds if second is not None]
    return [round(float(value), 1) for value in np.percentile(known, (50, 95))] if known else None


def confusions(said: Iterable[Said]) -> list[dict[str, Any]]:
    """Which command was taken for which, how often, of which voices and in which conditions; most often first."""
    pairs: dict[tuple[str, str], list[Said]] = {}
    for one in said:
        for heard in one.confused:
            pairs.setdefault((one.command, heard), []).append(one)
    rows = [
        {
            "said": command,
            "heard": heard,
            "times": len(ones),
            "natural": sum(one.kind in ("natural", "person") for one in ones),
            "voices": dict(Counter(one.voice for one in ones).most_common()),
            "conditions": dict(Counter(one.condition for one in ones).most_common()),
            "wordings": dict(Counter(one.wording for one in ones).most_common()),
        }
        for (command, heard), ones in pairs.items()
    ]
    return sorted(rows, key=lambda row: -row["times"])


def false_accept_rows(listened: Iterable[Listened], key: Callable[[Listened], str]) -> list[dict[str, Any]]:
    """For each group of `key`: hours, accepts, rate an hour with 95 % bounds; pieces that say a command stand apart."""
    groups: dict[str, list[Listened]] = {}
    for one in listened:
        groups.setdefault(key(one), []).append(one)
    return [{"group": group, **_false_accepts(members)} for group, members in groups.items()]


def _false_accepts(members: Sequence[Listened]) -> dict[str, Any]:
    accepts = [accept for one in members for accept in one.accepts]
    false = [accept for accept in accepts if not accept.is_said]
    hours = sum(one.seconds for one in members) / 3_600
    whole = hours + sum(one.said_seconds for one in members) / 3_600
    low, high = poisson_bounds(len(false))
    return {
        "hours": hours,
        "accepts": len(false),
        "per_hour": len(false) / hours if hours else None,
        "bounds": [low / hours, high / hours] if hours else None,
        "heard": dict(Counter(accept.wording for accept in false).most_common()),
        "unsure_per_hour": sum(one.unsure for one in members) / whole if whole else None,
        "cpu_share": sum(one.cpu_s for one in members) / (whole * 3_600) if whole else None,
        "says_a_command": {
            "seconds": sum(one.said_seconds for one in members),
            "accepts": len(accepts) - len(false),
        },
    }
