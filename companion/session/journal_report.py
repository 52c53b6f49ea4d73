"""``companion journal``: puts together what the journal, the recipes and the phrasebook know, for display to show."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from companion import library
from companion.display.amounts import amount, cycles_and_moves, date, duration
from companion.display.journal_page import CordPage, JournalPage, RecipeRow, SessionRow
from companion.journal.rows import LESSON, Entry, Session
from companion.library import LibraryError
from companion.practice.looking_back import LookingBack, SessionEntries, SessionReport, TimedEntry, look_back, together
from companion.practice.wording import move_prompt
from companion.recipe.model import Recipe
from companion.recipe.problems import RecipeError
from companion.session import setting
from companion.session.keeper import fingerprint
from companion.session.language import of_command

A_LESSON = "a lesson"
NOT_ENDED = "not ended"
"""Of a session that was cut off, or goes on at this moment: the journal can't tell the two apart."""


@dataclass(frozen=True)
class Kept:
    """What was read from the journal."""

    sessions: tuple[Session, ...]
    entries: dict[int, tuple[Entry, ...]]

    def of(self, recipe: str) -> tuple[Session, ...]:
        """The sessions of one recipe."""
        return tuple(session for session in self.sessions if session.recipe == recipe)

    def timed(self, session: Session) -> SessionEntries:
        """A session's entries with their times in seconds."""
        entries = self.entries.get(session.id, ())
        lines = tuple(TimedEntry(entry.when.timestamp(), entry.kind, entry.position) for entry in entries)
        return SessionEntries(session.id, lines, session.ended.timestamp() if session.ended else None)


@dataclass(frozen=True)
class Known:
    """What is known of a recipe now: the recipe, or a sentence why it isn't there."""

    recipe: Recipe | None
    why_not: str = ""


def known(name: str, asked: str | None = None) -> Known:
    """The recipe of a name in the journal; ``asked``: how it was asked for, a file of one's own perhaps."""
    try:
        return Known(library.load(asked or name))
    except LibraryError:
        told = f"companion journal PATH/{name}.toml" if not asked else "another path"
        return Known(None, f"There is no recipe {name} at hand, so its moves have numbers and no words; try {told}.")
    except RecipeError:
        return Known(None, f"The recipe {name} has mistakes now, so its moves have numbers and no words.")


def page(kept: Kept, recipe: str | None = None, asked: str | None = None) -> JournalPage:
    """The page about one recipe, or about all of them and the one braided last.

    ``asked``: how ``recipe`` was asked for, where that is the path of a file.
    """
    sessions = kept.of(recipe) if recipe else kept.sessions
    if not sessions:
        return JournalPage((), (), None, ("Nothing has been braided yet.",))
    lengths = _cycle_lengths(sessions, asked)
    looks = {one.id: look_back(kept.timed(one), lengths.get(one.recipe_print, 0)) for one in sessions}
    reports = {number: look.sessions[0] for number, look in looks.items()}
    rows = tuple(_session_row(session, reports[session.id], lengths) for session in sessions)
    names = dict.fromkeys(session.recipe for session in sessions)
    totals = tuple(_total(name, sessions, reports, lengths) for name in names)
    last = sessions[-1].recipe
    cord, notes = cord_page(kept.of(last), looks, lengths, known(last, asked))
    if len(names) > 1 and cord is not None:
        notes = (*notes, f"Pace and trouble are of {last}, braided last; of another cord: companion journal RECIPE.")
    return JournalPage(rows, totals, cord, notes)


def cord_page(
    sessions: tuple[Session, ...], looks: dict[int, LookingBack], lengths: dict[str, int], at_hand: Known
) -> tuple[CordPage | None, tuple[str, ...]]:
    """Pace and trouble of one cord over its sessions, with what has to be said about it.

    Lessons go over parts of a cycle, each over and over, so they have no place in it.
    """
    name, recipe = sessions[-1].recipe, at_hand.recipe
    sessions = tuple(session for session in sessions if session.purpose != LESSON)
    if not sessions:
        return None, (f"Of {name} there were only lessons so far; pace and trouble are shown of a cord.",)
    now = fingerprint(recipe) if recipe else None
    alike = tuple(session for session in sessions if session.recipe_print == now)
    notes = [at_hand.why_not] if at_hand.why_not else []
    if recipe is not None and alike:
        book = setting.phrasebook(of_command(None))
        wordings = tuple(book.text(move_prompt(recipe, move)) for move in recipe.cycle)
    else:
        # The cord as it was braided last is all that can be told of.
        alike = tuple(session for session in sessions if session.recipe_print == sessions[-1].recipe_print)
        wordings = ()
        if recipe is not None:
            notes.append(
                f"The moves of {name} have changed since, so those that were braided have numbers and no words."
            )
    if len(alike) < len(sessions):
        left_out = amount(len(sessions) - len(alike), "session")
        notes.append(f"Pace and trouble leave out {left_out} of {name} with other moves.")
    if not lengths.get(alike[0].recipe_print):
        notes.append(f"How many moves the cycle of {name} had was not kept yet, so its moves can't be told apart.")
    back = together(looks[session.id] for session in alike)
    title = recipe.title if recipe else name
    return CordPage(title, back.pace, back.moves, back.hardest, wordings), tuple(notes)


def summary(page_of_one: JournalPage) -> str:
    """One sentence with sessions, cycles and time of the cord whose page it is."""
    total = page_of_one.totals[0]
    first, last = page_of_one.sessions[0].date, page_of_one.sessions[-1].date
    return f"{total.recipe}: {total.sessions} from {first} to {last}, {total.made} made, {total.time} at the loops."


def _session_row(session: Session, report: SessionReport, lengths: dict[str, int]) -> SessionRow:
    return SessionRow(
        session.id,
        date(session.began),
        session.recipe,
        session.colourway,
        A_LESSON if session.purpose == LESSON else _made(report, session, lengths),
        duration(report.seconds),
        session.how or NOT_ENDED,
        str(session.carries_on) if session.carries_on is not None else "",
    )


def _made(report: SessionReport, session: Session, lengths: dict[str, int]) -> str:
    return cycles_and_moves(report.made, lengths.get(session.recipe_print, 0))


def _total(
    name: str, sessions: Iterable[Session], reports: dict[int, SessionReport], lengths: dict[str, int]
) -> RecipeRow:
    """All sessions of a recipe; cycles of different lengths are counted apart and added up."""
    own = [session for session in sessions if session.recipe == name]
    made: dict[int, int] = {}
    lessons = [session for session in own if session.purpose == LESSON]
    for session in own:
        if session in lessons:
            continue
        length = lengths.get(session.recipe_print, 0)
        made[length] = made.get(length, 0) + reports[session.id].made
    if len(made) <= 1:
        told = "".join(cycles_and_moves(moves, length) for length, moves in made.items()) or "0 cycles"
    else:
        cycles = sum(moves // length for length, moves in made.items() if length)
        rest = sum(moves % length if length else moves for length, moves in made.items())
        told = f"{amount(cycles, 'cycle')} and {amount(rest, 'move')}"
    return RecipeRow(
        name,
        _sessions(len(own) - len(lessons), len(lessons)),
        told,
        duration(sum(reports[session.id].seconds for session in own)),
    )


def _sessions(cords: int, lessons: int) -> str:
    told = [amount(cords, "session")] if cords or not lessons else []
    return " and ".join([*told, *([amount(lessons, "lesson")] if lessons else [])])


def _cycle_lengths(sessions: Iterable[Session], asked: str | None) -> dict[str, int]:
    """The moves in a cycle, by the print of the recipe: as the journal has it, else as the recipe has it now."""
    lengths: dict[str, int] = {}
    unknown: set[str] = set()
    for session in sessions:
        if session.moves:
            lengths[session.recipe_print] = session.moves
        else:
            unknown.add(session.recipe)
    for name in unknown:
        recipe = known(name, asked).recipe
        if recipe is not None:
            lengths.setdefault(fingerprint(recipe), len(recipe.cycle))
    return lengths
