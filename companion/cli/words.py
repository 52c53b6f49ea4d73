"""What the help says: of the program, and of the words and keys while braiding."""

from __future__ import annotations

from companion.display.key_table import keys_of
from companion.practice.commands import Command

TOP = """\
A companion at your elbow while both hands hold loops: it says each move of a fingerloop cord,
listens for a few words, keeps count of cycles and repeats, and finds your place again tomorrow."""

MEANINGS = {
    Command.NEXT: "the move is made, tell me the following one",
    Command.BACK: "how to undo that move, and one step less",
    Command.AGAIN: "say it once more",
    Command.WHERE: "cycle, move, and what is on each finger",
    Command.PAUSE: "rest",
    Command.CARRY_ON: "go on after a rest, or where you stopped",
    Command.HOW_FAR: "what is made, what remains, how long that takes",
    Command.MEASURED: "then say how many centimetres the cord is long",
    Command.MY_PACE: "the beat of timed pace becomes your own",
    Command.SLOWER: "speech and pace",
    Command.FASTER: "speech and pace",
    Command.FULL_WORDS: "every move in full",
    Command.SHORT_WORDS: "every move in few words",
    Command.ONLY_COUNT: "numbers only; once more: one prompt a cycle",
    Command.YOU_CHOOSE: "of each move as much as you need",
    Command.FINISH: "asks once, then ends; your place is kept",
    Command.YES: "to what it asks",
    Command.NO: "to what it asks; while braiding as back",
}

WORDS = (
    "While braiding you can say, or press:\n"
    + "".join(
        f"  {command.value:<11} {meaning:<44} {', '.join(keys_of(command))}\n" for command, meaning in MEANINGS.items()
    )
    + """\
A foot pedal that sends one of these keys works too.

Cautions: if fingers tingle, go numb or hurt, stop and rest, and ask a clinician if it stays.
Keep cords away from small children. Braided cords are not for carrying people or loads."""
)
