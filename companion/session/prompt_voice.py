"""A user's own voice as it grows: the folder of its clips, and which phrases are to be said in which order."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from companion.practice.commands import Command
from companion.practice.events import Begun, Event, Heard, Say
from companion.practice.sequencer import begin, step
from companion.practice.state import Plan
from companion.recipe.model import Recipe
from companion.session.reader import own_voices
from companion.speaking.clips import SPEEDS, ClipVoice, clip_words
from companion.speaking.phrasebook import Phrasebook, spoken_form
from companion.speaking.render import write_clip, write_manifest
from companion.speaking.sound import RATE, Samples
from companion.speaking.spoken_clip import STRETCH, at_speeds

ORIGIN = (
    "A person's own voice, recorded with record-prompts and kept on her own computer. Slow and fast are made from one "
    "recording by stretching it."
)
LICENCE = "the speaker's own; not to be handed on without her consent"


def wanted(book: Phrasebook, recipe: Recipe | None) -> tuple[list[str], int]:
    """The names of all clips in the order in which they are most useful, and how many of them a recipe needs."""
    needed = [] if recipe is None else list(_needed(book, recipe))
    return [*needed, *(name for name in book.utterances if name not in needed)], len(needed)


def _needed(book: Phrasebook, recipe: Recipe) -> dict[str, None]:
    """What a sitting of this recipe says, in its order: loading, two cycles, undoing, the place, a rest, the end."""
    names: dict[str, None] = {}
    moves = len(recipe.cycle)
    told = [Command.NEXT] * (2 * moves + 1)
    told += [Command.BACK, Command.NEXT, Command.WHERE, Command.PAUSE, Command.CARRY_ON, Command.FINISH, Command.YES]
    state = begin(Plan(recipe, recipe.colourways[0]))
    events: list[Event] = [Begun(), *(Heard(command) for command in told)]
    for event in events:
        state, effects = step(state, event)
        for effect in effects:
            if isinstance(effect, Say):
                clips = (book.clip_name(text) for text in book.clips(effect.prompt) if spoken_form(text))
                names |= dict.fromkeys(name for name in clips if name)
    return names


class PromptVoice:
    """The folder of one voice of the user's own. It is made when the first clip is kept."""

    def __init__(self, code: str, name: str, book: Phrasebook) -> None:
        self.folder = own_voices(code) / name
        self._book = book
        self._clips = ClipVoice(self.folder, book)

    def missing(self, names: Iterable[str]) -> list[str]:
        """Those of the clips that have not been said yet, or whose words have changed since."""
        return [name for name in names if not self.has(name)]

    def has(self, name: str) -> bool:
        """Whether a clip is there, of the present words."""
        return self._clips.is_fresh(name) and all(self._clips.path(name, speed).exists() for speed in SPEEDS)

    def keep(self, name: str, clip: Samples) -> None:
        """Keep what was said, at all speeds, in place of what may have been there. Raises OSError."""
        for speed, samples in at_speeds(clip).items():
            path = self._clips.path(name, speed)
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            passing = path.with_name(f".{path.name}.part")
            try:
                write_clip(passing, samples)
                passing.replace(path)
            finally:
                passing.unlink(missing_ok=True)
        kept = {**self._kept(), name: clip_words(self._book, name, self.folder.name)}
        head: dict[str, object] = {
            "voice": self.folder.name,
            "language": self._book.language,
            "licence": LICENCE,
            "origin": ORIGIN,
        }
        head |= {"consent": f"Agreed to on {date.today().isoformat()}.", "sample_rate": RATE, "stretch": STRETCH}
        write_manifest(self.folder, head, kept)
        self._clips = ClipVoice(self.folder, self._book)

    def _kept(self) -> dict[str, dict[str, str]]:
        return dict(self._clips.manifest.get("clips", {}))
