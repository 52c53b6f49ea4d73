"""Who reads the words of a session: one of the voices whose clips are there, shipped or recorded by the user.

What a reader has not said is read by the usual one, and what neither has by the computer's speech engine.
"""

from __future__ import annotations

from pathlib import Path

from companion.library import language_file
from companion.session import setting
from companion.session.keeper import Keeper
from companion.session.kept_choice import Choice
from companion.session.usage import UsageFault
from companion.speaking.clips import ClipVoice, Readers
from companion.speaking.phrasebook import Phrasebook
from companion.speaking.voice import Policy, Voice

KEPT = "reader of "
"""Under which name the setting is kept, with the language's code behind it."""
USUAL = "hibari"
_MANIFEST = "manifest.json"


def own_voices(code: str) -> Path:
    """Where the user's own voices in a language are, a folder for each; it need not exist."""
    return setting.data() / "voices" / code


def readers(code: str) -> dict[str, Path]:
    """The folders of all voices that have clips in a language, by name; the usual one first, then by alphabet."""
    shipped = language_file(code, "voices", setting.own_languages())
    found = {path.parent.name: path.parent for place in (shipped, own_voices(code)) for path in _manifests(place)}
    return dict(sorted(found.items(), key=lambda item: (item[0] != USUAL, item[0])))


def _manifests(folder: Path) -> list[Path]:
    try:
        return sorted(folder.glob(f"[!.]*/{_MANIFEST}"))
    except OSError:
        return []


def of_session(asked: str | None, code: str, keeper: Keeper, notes: list[str]) -> str:
    """The name of a session's reader; who is asked for is kept for later sessions. Raises UsageFault."""
    return _choice(asked, code).of_session(keeper, notes)


def of_command(asked: str | None, code: str) -> str:
    """The same for a command that has no session. A journal that can't be read is told of. Raises UsageFault."""
    return _choice(asked, code).of_command()


def _choice(asked: str | None, code: str) -> Choice:
    return Choice(KEPT + code, "reader", asked, lambda kept, notes: chosen(asked, kept, code, notes))


def chosen(asked: str | None, kept: str | None, code: str, notes: list[str]) -> str:
    """Who is asked for, else who is kept, else the usual reader. Raises UsageFault."""
    there = readers(code)
    usual = next(iter(there), USUAL)
    if asked is not None:
        if asked not in there:
            who = f"there {'is' if len(there) == 1 else 'are'} {', '.join(there)}" if there else "there is none yet"
            raise UsageFault(
                f'There is no reader "{asked}" in the language "{code}"; {who}, and companion record-prompts makes one.'
            )
        return asked
    if kept is not None and kept not in there:
        notes.append(f'The reader "{kept}" isn\'t there any more, so {usual} reads.')
        return usual
    return kept or usual


def voice(policy: Policy, book: Phrasebook, code: str, reader: str) -> Voice:
    """Clips and engine, as the policy wants them: the reader's own clips first."""
    return Voice(book, policy, clips(code, reader), setting.engine(book))


def clips(code: str, reader: str) -> Readers:
    """The clips of a reader, and behind them those of the usual one."""
    book = setting.phrasebook(code)
    there = readers(code)
    names = dict.fromkeys((reader, next(iter(there), reader)))
    return Readers([ClipVoice(there[name], book) for name in names if name in there])
