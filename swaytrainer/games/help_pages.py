"""What each screen wants and which keys it knows, in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Help:
    """One screen's help.

    Attributes:
        title: what the screen is for, in a few words.
        keys: a key, a gesture or a thing on the screen, and what it does.
    """

    title: str
    keys: tuple[tuple[str, str], ...]


_ESC_BACK: Final = ("Esc", "Goes back.")
_STOP: Final = ("Stop", "At once on pain, dizziness or tiredness. Your coach decides.")

GYM: Final = Help(
    "Who trains, and what",
    (
        ("Step on", "Begins hands free: the screen asks who you are, and then what to do."),
        ("Arrow keys", "Choose the vaulter and the level; Enter or space begins."),
        _STOP,
        ("N", "Takes the level that the ladder suggests."),
        ("M", "Whoever was called isn't here: to the end of the line."),
        ("S", "Says that a spotter stands by: then all levels are offered."),
        ("G", "First steps: teach a board, add a vaulter, try without a board."),
        ("Esc", "Ends the program. Every trial is kept already."),
    ),
)
CAUTIONS: Final = Help(
    "What to beware of",
    (
        ("Why", "Once a day for each base, before the first trial on it."),
        (
            "Step on",
            "Says that all is as it should be. Where a spotter is needed, only a key does.",
        ),
        ("Enter", "The same, for whoever stands by."),
        _ESC_BACK,
    ),
)
DESK: Final = Help(
    "Choosing without hands",
    (
        ("Stand still", "For five seconds: begins what is in the middle."),
        ("Lean", "To the left or right: turns the list."),
        ("Two bends", "Quick ones with the knees: take what is in the middle."),
        ("Step off", "Goes back."),
        ("Arrows, Enter", "The same by hand; Esc goes back."),
    ),
)
TRIAL: Final = Help(
    "A trial",
    (
        ("Step on", "Both feet on the marks, then stand still until the ring is full."),
        ("Space", "Starts at once, or skips a rest."),
        ("Step off", "In the middle: come back in time and it goes on. Never scored as quiet."),
        ("The mark", "0 to 10, with its parts, the reason, and one thing to try."),
        ("Esc", "Breaks off; once more, leaves. What was done is kept."),
        _STOP,
    ),
)
TEACHING: Final = Help(
    "Teaching the board its newtons",
    (
        ("The mass", "Something of known weight that can't roll or topple."),
        ("The marks", "Put it where the gold square is and let go: the reading takes itself."),
        ("It waits", "Why stands in orange below."),
        ("Esc", "Breaks off; then nothing is changed."),
        ("Care", "Mind your back and your toes; nobody stands on the board."),
    ),
)
CHECK: Final = Help(
    "The one-minute check",
    (
        ("Do", "What the gold sentence asks for; each step takes itself."),
        ("PASS", "The board may be trained on. FAIL says what to do."),
        ("Esc", "Breaks off; then the board is neither passed nor failed."),
        _STOP,
    ),
)
FEET: Final = Help(
    "Finding heels and balls",
    (
        ("Do", "What the gold sentence asks for, with a hand on a wall bar."),
        ("Why", "The toe share is reckoned between your heels and the balls of your feet."),
        ("Esc", "Breaks off; then nothing is changed."),
        _STOP,
    ),
)
BOARD: Final = Help(
    "How the board is",
    (
        ("The plate", "What each corner bears, and where the weight is."),
        ("The list", "Rate, losses, delays, noise: orange is what to look at."),
        ("Esc", "Ends."),
    ),
)
GUIDE: Final = Help(
    "First steps",
    (
        ("Arrows, Enter", "Choose a step and do it; the next one to do is chosen already."),
        ("The board", "Plug it in and leave it empty: it is found by itself."),
        ("Newtons", "One known weight, nine marks, three minutes. Once for each board."),
        ("Vaulters", "A pseudonym suffices. Everything stays on this machine."),
        ("T", "A simulated board and vaulter show all of it; nothing of that is kept."),
        ("Esc", "To the gym screen."),
    ),
)
ENTRY: Final = Help(
    "Typing something in",
    (
        ("Keys", "Write; the backspace key takes a letter back."),
        ("Arrow keys", "Change a number step by step."),
        ("Enter", "Takes it."),
        _ESC_BACK,
    ),
)
REPLAY: Final = Help(
    "A recording, seen again",
    (
        ("The picture", "As it was, computed again from the board's own bytes."),
        ("Esc", "Ends."),
    ),
)
