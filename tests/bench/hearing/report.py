"""Results as tables in Markdown, which read well on a terminal and in a document, and as data for JSON."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from .conditions import LEAD_S, TAIL_S
from .levels import ACTIVE_DB, PINK_FROM_HZ, SPEECH_DB
from .listen import Cost
from .pieces import GAP_S, ROOM_BELOW_SPEECH_DB
from .score import Listened, Said, confusions, false_accept_rows, recall_rows


def results(said: Sequence[Said], listened: Sequence[Listened], cost: Cost) -> dict[str, Any]:
    """Everything measured, as plain data: aggregated first, then each word that was said and each false accept."""
    return {
        "conventions": {
            "speech_db_fs": SPEECH_DB,
            "active_db_below_loudest": ACTIVE_DB,
            "pink_from_hz": PINK_FROM_HZ,
            "noise_before_s": LEAD_S,
            "noise_after_s": TAIL_S,
            "room_noise_below_speech_db": ROOM_BELOW_SPEECH_DB,
            "gap_between_announcements_s": GAP_S,
        },
        "by_kind_and_condition": recall_rows(said, lambda one: (one.kind, one.condition)),
        "by_voice_and_condition": recall_rows(said, lambda one: (one.voice, one.condition)),
        "by_wording_and_condition": recall_rows(_best_voices(said), lambda one: (one.wording, one.condition)),
        "confusions": confusions(said),
        "false_accepts": false_accept_rows(listened, lambda one: one.kind),
        "false_accepts_by_recording": false_accept_rows(listened, lambda one: one.recording),
        "cost": {
            "cpu_share_speech": cost.speech_cpu_s / cost.speech_s if cost.speech_s else None,
            "cpu_share_quiet": cost.quiet_cpu_s / cost.quiet_s if cost.quiet_s else None,
            "resident_mb": cost.resident_mb,
            "ear_mb": cost.ear_mb,
            "open_s": cost.open_s,
        },
        "accepts": [asdict(accept) for one in listened for accept in one.accepts],
        "words": [asdict(one) for one in said],
    }


def _best_voices(said: Sequence[Said]) -> Sequence[Said]:
    """What people and natural voices said; if there are none, what all said."""
    return [one for one in said if one.kind in ("natural", "person")] or said


def table(head: Sequence[str], rows: Sequence[Sequence[object]]) -> str:
    """A Markdown table with aligned columns."""
    texts = [[str(cell) for cell in row] for row in (head, *rows)]
    widths = [max(len(row[column]) for row in texts) for column in range(len(head))]
    padded = [[cell.ljust(width) for cell, width in zip(row, widths, strict=True)] for row in texts]
    lines = [f"| {' | '.join(row)} |" for row in padded]
    lines.insert(1, "|" + "|".join("-" * (width + 2) for width in widths) + "|")
    return "\n".join(lines)


def _grid(rows: Sequence[dict[str, Any]], corner: str) -> str:
    """Recall in per cent, groups down and conditions across; "+n" counts words taken for another command."""
    conditions = list(dict.fromkeys(row["group"][1] for row in rows))
    names = list(dict.fromkeys(row["group"][0] for row in rows))
    cells = {tuple(row["group"]): row for row in rows}

    def cell(row: dict[str, Any] | None) -> str:
        if row is None:
            return ""
        return f"{100 * row['recall']:.0f}" + (f" +{row['confused']}" if row["confused"] else "")

    lines = [(name, *(cell(cells.get((name, condition))) for condition in conditions)) for name in names]
    return table((corner, *conditions), lines)


def report(found: dict[str, Any]) -> str:
    """All tables, one after the other."""
    parts: list[str] = []
    if found["words"]:
        parts += ["Recall in per cent; +n: words taken for another command.", ""]
        parts += [_grid(found["by_kind_and_condition"], "kind"), ""]
        parts += [_grid(found["by_voice_and_condition"], "voice"), ""]
        parts += [_delays(found), "", _confusions(found), "", _missed(found), ""]
    if found["false_accepts"]:
        parts += ["Commands heard where none was meant (in pieces that do say one: last column).", ""]
        some = [row for row in found["false_accepts_by_recording"] if row["accepts"]]
        parts += [_accepts(found["false_accepts"]), "", "Recordings with any:", "", _accepts(some), ""]
    cost = found["cost"]
    share = " and ".join(
        f"{100 * cost[key]:.1f} % of real time while {what}"
        for key, what in (("cpu_share_speech", "a word is said"), ("cpu_share_quiet", "nobody speaks"))
        if cost[key] is not None
    )
    parts.append(
        f"CPU {share or 'not measured'}; opening the ear took {cost['open_s']:.2f} s and {cost['ear_mb']:.0f} MB;"
    )
    parts.append(f"resident memory with the bench in it {cost['resident_mb']:.0f} MB.")
    return "\n".join(parts)


def _delays(found: dict[str, Any]) -> str:
    rows = []
    for row in found["by_kind_and_condition"]:
        if row["delay_ms"]:
            sound, wall = row["delay_ms"], row["wall_delay_ms"]
            rows.append((*row["group"], row["heard"], *(f"{value:.0f}" for value in (*sound, *wall))))
    return table(("kind", "condition", "heard", "delay ms", "p95", "with computing", "p95"), rows)


def _confusions(found: dict[str, Any]) -> str:
    rows = []
    for row in found["confusions"]:
        voices, conditions = _counts(row["voices"], 3), _counts(row["conditions"], 3)
        rows.append((row["said"], row["heard"], row["times"], row["natural"], voices, conditions))
    return table(("said", "taken for", "times", "natural", "voices", "conditions"), rows)


def _missed(found: dict[str, Any]) -> str:
    some = ("clean", "pink 10 dB", "babble 10 dB", "workshop")
    rows = [row for row in found["by_wording_and_condition"] if row["group"][1] in some]
    return _grid(rows, "wording (people's and natural voices, if any)")


def _accepts(rows: Sequence[dict[str, Any]]) -> str:
    lines = []
    for row in rows:
        aside = row["says_a_command"]
        rest = (f"{row['unsure_per_hour']:.0f}", f"{100 * row['cpu_share']:.1f}")
        lines.append((*accept_cells(row, 4), *rest, f"{aside['accepts']} in {aside['seconds']:.0f} s"))
    return table(("negative", *ACCEPT_HEAD, "unsure an hour", "CPU %", "says one"), lines)


ACCEPT_HEAD = ("hours", "accepts", "an hour", "95 % bounds", "heard")


def accept_cells(row: dict[str, Any], most: int) -> tuple[object, ...]:
    """The group of a row of false accepts, and what stands below ACCEPT_HEAD: at most so many commands are named."""
    low, high = row["bounds"] or (0.0, 0.0)
    rate = f"{row['per_hour']:.1f}" if row["per_hour"] is not None else ""
    heard = _counts(row["heard"], most)
    return row["group"], f"{row['hours']:.2f}", row["accepts"], rate, f"{low:.1f}-{high:.1f}", heard


def _counts(counts: dict[str, int], most: int) -> str:
    shown = [f"{name} {count}" for name, count in list(counts.items())[:most]]
    return ", ".join(shown) + (" ..." if len(counts) > most else "")
