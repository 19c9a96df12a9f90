"""The window's keys, and the page of help that tells of each."""

from __future__ import annotations

from html import escape
from typing import Final, NamedTuple

from swaytrainer.words import Said, say, tr


class Key(NamedTuple):
    """What one wish is called by.

    Attributes:
        wish: its name in the window.
        keys: as Qt writes them; each does the same.
        shown: as the help writes them, "" if another line tells of it.
        meaning: for the help.
    """

    wish: str
    keys: tuple[str, ...]
    shown: str | Said
    meaning: str | Said


KEYS: Final = (
    Key(
        "hold",
        ("Space",),
        say("Space"),
        say("hold still, or follow again; the sitting runs on"),
    ),
    Key(
        "back",
        ("Left",),
        "← →",
        say("look back or on by half a width; with Shift by a tenth"),
    ),
    Key("on", ("Right",), "", ""),
    Key("a little back", ("Shift+Left",), "", ""),
    Key("a little on", ("Shift+Right",), "", ""),
    Key("first", ("Home",), say("Home"), say("to the beginning")),
    Key("follow", ("End",), say("End"), say("to the newest, and to the next recording")),
    Key("closer", ("+", "="), "+ −", say("less or more time in the width")),
    Key("wider", ("-",), "", ""),
    Key("mark", ("M",), "M", say("a mark at the moment shown")),
    Key("note", ("N",), "N", say("a note there: type, Enter keeps it, Esc leaves it")),
    Key("one", ("1",), "1 2", say("side by side: whose marks and notes")),
    Key("two", ("2",), "", ""),
    Key("open", ("O",), "O", say("open a recording; with Shift beside the first")),
    Key("open beside", ("Shift+O",), "", ""),
    Key("picture", ("S",), "S", say("save a picture of the window")),
    Key("help", ("?",), "F1 ?", say("this help, and away again")),
    Key("leave", ("Esc",), "", ""),
)


def help_page() -> str:
    """All of it, as HTML, in the language in use."""
    rows = "".join(
        f"<tr><td><b>{escape(tr(key.shown))}</b></td><td>{escape(tr(key.meaning))}</td></tr>"
        for key in KEYS
        if key.shown
    )
    seen = (
        say(
            "The same values as the game's, read from its recording while it is written. Nothing"
            " is changed by looking. The green band is the level's band of the toe share; the"
            " ellipse holds 95 of 100 further samples if the sway is even; the noise floor is what"
            " the board's own noise would make of the speed. Ellipse and spectrum are of the"
            " stretch before the moment shown, without stepping on and off. Curves are of every"
            " sample; numbers change five times a second, the spectrum twice."
        ),
        say(
            "A long recording is read from its beginning: what has been read is shown, the line"
            " below tells how far. Marks, events and measures of that part are final."
        ),
    )
    notes = say(
        "Marks and notes are kept in a text file beside the recording, which ends in .notes.txt."
        " They are added to, never changed."
    )
    levels = say(
        "The second tab changes a level: a value is typed or chosen, the line below says whether"
        " it is a level still, Ctrl Z takes a change back. What comes with the program stays as it"
        " is: what you make of it is saved beside it, in the data folder. The simulated vaulters"
        " are no people: they give a feeling for a number, no more. Whether a level is right for a"
        " vaulter, her coach decides."
    )
    cautions = say(
        "Whoever stands on the board needs your eyes more than this window does: mat, clear floor,"
        " somebody near, bare feet or vaulting shoes, the board's load limit; stop on pain or"
        " dizziness. Your club's rules come first. A training aid, no medical device."
    )
    return "".join(
        (
            f"<h3>{tr(say('What you see'))}</h3>",
            *(f"<p>{escape(tr(text))}</p>" for text in seen),
            f"<h3>{tr(say('Keys'))}</h3><table cellspacing='6'>{rows}</table>",
            f"<p>{escape(tr(notes))}</p>",
            f"<h3>{tr(say('Levels'))}</h3>",
            *(f"<p>{escape(tr(text))}</p>" for text in (levels, cautions)),
        )
    )
