"""Braiders made of a few laws, to drive whole practice hours through the pure core.

A simulated braider holds loops of her own: she makes and unmakes moves by companion.loops alone and never looks at
what the session believes. Her time for a move follows the power law of practice (A. Newell and P. Rosenbloom 1981,
from memory: T = a + b * N ** -c), her slips grow rarer in the same way. All her chances come from one seeded source.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field

from companion.loops.cycle import hands_after
from companion.loops.hands import Hands, loaded
from companion.loops.moves import make
from companion.practice.answers import expected
from companion.practice.commands import Command
from companion.practice.events import (
    Answered,
    Begun,
    Effect,
    Elapsed,
    End,
    Event,
    Heard,
    Record,
    Spoken,
    Uttered,
    Wait,
)
from companion.practice.finding import where_it_stands
from companion.practice.search import EMPTY, Ask, NothingFits, Offer
from companion.practice.sequencer import begin, step
from companion.practice.state import Phase, Plan, State
from companion.recipe.model import Tighten
from companion.recipe.places import Place

PROMPT_S = 2.0
"""Every prompt sounds for so long."""


@dataclass(frozen=True)
class Character:
    """Seconds a move takes at the least, what a beginner needs beyond that, how fast she learns, and how she errs.

    ``slips``: chance of a slip at a move met the first time; ``misheard``: chance that a "next" was none.
    The others are chances at each move, too.
    """

    least_s: float = 2.5
    beginner_s: float = 12.0
    learns: float = 0.6
    slips: float = 0.25
    misheard: float = 0.01
    asks: float = 0.01
    rests: float = 0.005
    loses_place: float = 0.0
    drops: float = 0.0
    measures: float = 0.0


@dataclass
class Braider:
    """A braider in a session of her own, with a clock that starts at 0."""

    plan: Plan
    character: Character = field(default_factory=Character)
    seed: int = 0

    def __post_init__(self) -> None:
        self.chance = random.Random(self.seed)
        self.now_s = 0.0
        self.state: State = begin(self.plan)
        self.journal: list[Record] = []
        self.effects: list[Effect] = []
        self.waits: list[tuple[float, int]] = []
        self.ended = False
        self.made: dict[int, int] = {}
        self.hands: Hands = loaded(self.plan.recipe)
        self.history: list[Hands] = []
        for number in range(1, self.plan.stopped_at.made + 1):
            self._makes(number)
        self.tell(Begun())
        self.hears_it_out()

    def tell(self, event: Event) -> list[Effect]:
        """Tell the session, and note what it asks for."""
        self.state, effects = step(self.state, event)
        self.effects = list(effects)
        for effect in effects:
            if isinstance(effect, Record):
                self.journal.append(effect)
            elif isinstance(effect, Wait):
                self.waits.append((self.now_s + effect.seconds, effect.wait))
            elif isinstance(effect, End):
                self.ended = True
        return self.effects

    def says(self, command: Command, **facts: float) -> list[Effect]:
        """She says a word; what is known of its sound says that it is a plain one."""
        sound = Uttered(**{"after_next_s": 60.0, "after_words_s": 60.0, "above_background_db": 40.0, **facts})
        return self.tell(Heard(command, sound, self.now_s))

    def hears_it_out(self) -> None:
        """All that is being said comes to its end."""
        self.now_s += PROMPT_S
        if not self.ended:
            self.tell(Spoken(self.now_s))

    def lets_pass(self, seconds: float) -> None:
        """Time passes; waits that are over are told."""
        until = self.now_s + seconds
        while not self.ended:
            due = min((wait for wait in self.waits if wait[0] <= until), default=None)
            if due is None:
                break
            self.waits.remove(due)
            self.now_s = max(self.now_s, due[0])
            self.tell(Elapsed(due[1], self.now_s))
            if self.effects:
                self.hears_it_out()
        self.now_s = until

    def braids(self, moves: int) -> None:
        """She goes on until so many moves more have been made, or the session is over."""
        to = self.state.position.made + moves
        if self.state.phase is Phase.OFFERING:
            self.says(Command.YES)
            self.hears_it_out()
        if self.state.phase is Phase.LOADING:
            self.says(Command.NEXT)
            self.hears_it_out()
        most = 40 * moves
        while not self.ended and self.state.position.made < to and most:
            self.one_thing()
            most -= 1
        assert most, "she gets nowhere"

    def one_thing(self) -> None:
        """The move under way, or what she says instead."""
        number = self.state.position.to_come
        move = (number - 1) % self.plan.moves
        practised = 1 + self.made.get(move, 0)
        nature = self.character
        if self.chance.random() < nature.asks:
            asked = (Command.WHERE, Command.AGAIN, Command.HOW_FAR, Command.SLOWER, Command.FASTER)
            self.says(self.chance.choice(asked))
            self.hears_it_out()
        if self.chance.random() < nature.rests:
            self.says(Command.PAUSE)
            self.hears_it_out()
            self.now_s += self.chance.uniform(20, 600)
            self.says(Command.CARRY_ON)
            self.hears_it_out()
        if self.chance.random() < nature.misheard:
            self._is_misheard()
            return
        if self.chance.random() < nature.loses_place:
            self.loses_her_place(self.chance.randrange(3 * self.plan.moves))
            return
        if self.chance.random() < nature.drops:
            self.drops_a_loop()
        if self.chance.random() < nature.measures:
            self.measures()
        self.lets_pass(self._seconds(practised))
        if self.chance.random() < nature.slips * practised**-nature.learns:
            self._slips()
            return
        if self.state.position.under_way:
            for made in range(number, self.state.position.prompted + 1):
                self._makes(made)
        self.made[move] = practised
        self.says(Command.NEXT)
        self.hears_it_out()

    def _seconds(self, practised: int) -> float:
        nature = self.character
        return (nature.least_s + nature.beginner_s * practised**-nature.learns) * self.chance.lognormvariate(0, 0.15)

    def _makes(self, number: int) -> None:
        self.history.append(self.hands)
        self.hands = make(self.plan.move(number).action, self.hands)

    def _slips(self) -> None:
        """She has begun the move wrongly: she undoes it as she is told; now and then the one before, too."""
        steps = 2 if self.chance.random() < 0.2 else 1
        for _ in range(steps):
            before = self.state.position
            self.says(Command.BACK)
            self.hears_it_out()
            for _ in range(before.made - self.state.position.made):
                self.hands = self.history.pop()

    def _is_misheard(self) -> None:
        """The session hears a "next" that she didn't say, with her hands where they were; she says so at once."""
        if not self.state.position.under_way:
            return
        self.says(Command.NEXT)
        if self.ended:
            return
        self.now_s += PROMPT_S / 2
        self.says(Command.BACK, after_words_s=-0.5)
        self.hears_it_out()

    @property
    def true_made(self) -> int:
        """The moves that her hands have behind them, as she counts: after a lost place as she was told."""
        return len(self.history)

    def _counts_from(self, made: int) -> None:
        """So many moves are behind her, she was told; what she undoes from here are those moves. Her hands stay."""
        told = [hands_after(self.plan.recipe, number) for number in range(made + 1)]
        assert told[-1].looks(self.plan.colourway) == self.hands.looks(self.plan.colourway), "that is not her place"
        *self.history, self.hands = told

    def loses_her_place(self, further: int) -> None:
        """She has gone on for some moves without a word, and no longer knows where she is: she says so."""
        for _ in range(further):
            self._makes(self.true_made + 1)
        self.now_s += 4.0 * further
        self.says(Command.LOST)
        self.hears_it_out()
        self.finds_her_place()
        self._counts_from(self.state.position.made)

    def finds_her_place(self, knows: float = 1.0) -> int:
        """She answers what she is asked, as her hands look; how many colours she was asked for.

        ``knows``: how often she can tell the colour.
        """
        asked = 0
        while not self.ended and self.state.phase is Phase.FINDING:
            standing = where_it_stands(self.state)
            assert standing is not None
            match standing.step:
                case Ask(place):
                    asked += 1
                    if self.chance.random() < knows:
                        self.tell(Answered(self.sees(place), self.now_s))
                    else:
                        self.says(Command.DONT_KNOW)
                case Offer(made):
                    self.says(Command.YES if self._is_hers(made) else Command.NO)
                case NothingFits():
                    raise AssertionError(f"with true answers nothing fits: {self.state.search}")
            self.hears_it_out()
        return asked

    def _is_hers(self, made: int) -> bool:
        """Whether a place is hers: which repeat it is she can't know, and a tightening more or less is all the same."""
        repeat = self.plan.cycles_in_repeat * self.plan.moves
        before_tightening = isinstance(self.plan.move(made + 1).action, Tighten)
        return (self.true_made - made) % repeat in ((0, 1) if before_tightening else (0,))

    def sees(self, place: Place) -> str:
        """The upper shank's colour on a finger; of two loops she may name either."""
        loops = self.hands.on(place)
        return self.chance.choice(loops).colours(self.plan.colourway).upper if loops else EMPTY

    def drops_a_loop(self) -> None:
        """A loop slips off a finger; she lays it back as she is told, and goes on where she was."""
        held = [loop.place for loop in self.plan.hands(self.state.position.made).loops]
        self.says(Command.DROPPED)
        self.hears_it_out()
        answers = expected(self.state).words
        names = [self.plan.hands(0).name(place) for place in held]
        self.tell(Answered(self.chance.choice([name for name in names if name in answers]), self.now_s))
        self.hears_it_out()
        self.says(Command.CARRY_ON)
        self.hears_it_out()

    def measures(self) -> None:
        """She lays the cord straight: a cycle makes it a third of a centimetre longer, read to half a centimetre."""
        if self.state.position.made < self.plan.moves:
            return
        length = self.state.position.made / self.plan.moves / 3 + self.chance.uniform(-0.5, 0.5)
        self.says(Command.MEASURED)
        self.hears_it_out()
        self.tell(Answered(f"{max(length, 0.1):.1f}", self.now_s))
        self.hears_it_out()
        if self.state.phase is Phase.MEASURING:  # shorter than before, say: she leaves it
            self.says(Command.NO)
            self.hears_it_out()
