"""``companion journal --delete``: says what would be deleted, asks, deletes for good, says what was deleted."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from companion.display.amounts import amount, date
from companion.journal.belonging import EVERYTHING, Chosen, recipes_known
from companion.journal.deleting import Deleted, count, delete, set_aside_files
from companion.journal.fault import JournalFault
from companion.journal.reading import NoJournal
from companion.journal.rows import LastSession
from companion.journal.store import FILE_NAME, Journal
from companion.recipe.problems import did_you_mean
from companion.session import setting
from companion.session.asking import ask
from companion.session.usage import DONE, UsageFault

ALL = "all"
NAMES = {"session": ("session", "sessions"), "entry": ("entry", "entries"), "kept": ("fact", "facts about cords")}
"""What the rows of a table are called."""
LISTED = 8
"""So many sessions are named in the question."""
TRACES = (
    "Another program has the journal open, so traces may stay in its file; the same command removes them later, "
    "even where nothing else is left to delete."
)


def delete_from_journal(wanted: Sequence[str], recipe: str | None, sure: bool) -> int:
    """Delete recipes by name, sessions by number, or everything; 0, also when it wasn't agreed to.

    Raises UsageFault for what isn't in the journal, and JournalFault.
    """
    if recipe is not None:
        raise UsageFault(f"Name what to delete after --delete, as in: companion journal --delete {recipe}")
    folder = setting.data()
    path = folder / FILE_NAME
    if not path.exists():
        raise NoJournal(path)
    with Journal(path) as journal:
        chosen = _chosen(journal, wanted)
        aside = set_aside_files(folder) if chosen.everything else []
        told = _told(count(journal, chosen), aside)
        if told and not sure and not _agreed(told, _listed(journal, chosen)):
            print("Nothing was deleted.")
            return DONE
        before = _places(journal)
        deleted = delete(journal, chosen)
        for file in aside:
            _unlink(file)
        told = _told(deleted, aside)
        print(f"Deleted: {told}." if told else "There was nothing of it to delete.")
        for sentence in _consequences(before, _places(journal)):
            print(sentence)
        if deleted.traces:
            print(TRACES)
    return DONE


def _chosen(journal: Journal, wanted: Sequence[str]) -> Chosen:
    if ALL in wanted:
        return EVERYTHING
    sessions = {session.id for session in journal.sessions()}
    with journal.database() as database:
        recipes = recipes_known(database)
    numbers: set[int] = set()
    names: set[str] = set()
    for one in wanted:
        name = Path(one).stem if one.endswith(".toml") else one
        if name in recipes:
            names.add(name)
        elif one.isascii() and one.isdigit():
            if int(one) not in sessions:
                raise UsageFault(f"There is no session {one} in the journal; companion journal --plain lists them.")
            numbers.add(int(one))
        else:
            raise UsageFault(
                f"The journal has no recipe {name}{did_you_mean(name, recipes)}; "
                "give a recipe that was braided, the number of a session, or all."
            )
    return Chosen(frozenset(numbers), frozenset(names))


def _listed(journal: Journal, chosen: Chosen) -> list[str]:
    """The sessions that are chosen, a line for each of the last ones."""
    sessions = [
        session
        for session in journal.sessions()
        if chosen.everything or session.id in chosen.sessions or session.recipe in chosen.recipes
    ]
    earlier = len(sessions) - LISTED
    lines = [f"  and {amount(earlier, 'earlier session')}"] if earlier > 0 else []
    return [*lines, *(f"  {one.id}  {date(one.began)}  {one.recipe}" for one in sessions[-LISTED:])]


def _agreed(told: str, sessions: Sequence[str]) -> bool:
    print(f"This deletes for good: {told}.")
    for line in sessions:
        print(line)
    return ask("Type yes to delete:").lower() == "yes"


def _told(deleted: Deleted, aside: Sequence[Path]) -> str:
    """What goes, in words; nothing where nothing does."""
    parts = [
        amount(number, *NAMES.get(table, (f"row of {table}", f"rows of {table}")))
        for table, number in sorted(deleted.rows.items(), key=lambda row: row[0] != "session")
    ]
    damaged = [file for file in aside if file.suffix == Path(FILE_NAME).suffix]
    parts += [
        amount(len(damaged), "damaged journal that was set aside", "damaged journals that were set aside")
    ] * bool(damaged)
    return ", ".join(parts)


def _places(journal: Journal) -> dict[str, LastSession]:
    """Where each recipe stands."""
    names = dict.fromkeys(session.recipe for session in journal.sessions())
    return {name: last for name in names if (last := journal.last(name)) is not None}


def _consequences(before: dict[str, LastSession], after: dict[str, LastSession]) -> list[str]:
    """Where the next practice takes up now, for each recipe that stood elsewhere before."""
    return [
        f"{name} now stands where session {after[name].id} left it ({date(after[name].when)})."
        for name, last in before.items()
        if name in after and after[name].id != last.id
    ]


def _unlink(file: Path) -> None:
    try:
        file.unlink(missing_ok=True)
    except OSError as error:
        raise JournalFault(f"{file} can't be deleted ({error.strerror}); delete it by hand.") from error
