"""What the desk's buttons ask the program for: the arguments of its commands. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from swaytrainer.words import language

# A name may look like an option: behind "--" nothing is one.


@dataclass(frozen=True, slots=True)
class Order:
    """One command.

    Attributes:
        arguments: behind the program's name.
        stays: it opens a window of its own and goes on beside the desk.
    """

    arguments: tuple[str, ...]
    stays: bool = False


#: What the first page's buttons open.
SCOPE: Final = Order(("scope",), True)
SQUAD: Final = Order(("squad",))
INDEX: Final = Order(("index",))
PROGRESS: Final = Order(("progress", "--squad"))


def gym(spotter: bool = False, full_screen: bool = False, first_steps: bool = False) -> Order:
    """The gym screen.

    >>> gym(spotter=True).arguments
    ('--spotter',)
    """
    wanted = (
        ("--spotter", spotter),
        ("--full-screen", full_screen),
        ("--first-steps", first_steps),
    )
    return Order(tuple(option for option, given in wanted if given), True)


def in_evening(what: str, name: str) -> Order:
    """Somebody is away tonight, has come back, or was called and isn't there."""
    return Order(("squad", what, "--", name))


def progress_of(name: str) -> Order:
    """Whether somebody has changed."""
    return Order(("progress", "--", name))


def table(path: Path) -> Order:
    """The squad's table for a spreadsheet."""
    return Order(("progress", "--squad", f"--csv={path}"))


def next_of(name: str) -> Order:
    """What comes next for somebody."""
    return Order(("ladder", "--", name))


def coach_word(name: str, level: str, note: str) -> Order:
    """The coach's word: somebody's level from now on, and why."""
    return Order(("ladder", f"--set={level}", f"--note={note}", "--", name))


def report(name: str | None, path: Path, sentence: str = "") -> Order:
    """One page about somebody, or about the squad (``name`` None)."""
    about = ("--squad",) if name is None else ("--", name)
    said = (f"--sentence={sentence}",) if sentence else ()
    return Order(("report", "-o", str(path), *said, *about))


def contest(path: Path, *more: str) -> Order:
    """A competition: who is next, the standings, and more.

    >>> contest(Path("cup.toml"), "--trials").arguments
    ('contest', 'cup.toml', '--trials')
    """
    return Order(("contest", str(path), *more))


def ruling(path: Path, reason: str, *what: str) -> Order:
    """A judge's ruling: withdrawn NAME, or repeat RECORDING TRIAL."""
    return Order(("contest", f"--reason={reason}", str(path), "rule", "--", *what))


def stand_off(path: Path, names: Sequence[str]) -> Order:
    """One more trial each of these, for their places."""
    return Order(("contest", str(path), "stand-off", "--", *names))


def contest_gym(path: Path, spotter: bool) -> Order:
    """The gym screen in the competition's order."""
    return Order(("--contest", str(path), *(("--spotter",) if spotter else ())), True)


def scoreboard(path: Path) -> Order:
    """The hall's big screen."""
    return Order(("scoreboard", str(path), "--full-screen"), True)


def replay(path: Path) -> Order:
    """A recording before all."""
    return Order(("replay", str(path)), True)


def backup(path: Path) -> Order:
    """Everything in one file."""
    return Order(("backup", str(path)))


def trial_for_others(recording: Path, kind: str, path: Path, number: int) -> Order:
    """A recorded trial as a file that other programs read: csv, parquet or c3d."""
    return Order(
        ("export", f"--as={kind}", f"--output={path}", f"--trial={number}", "--", str(recording))
    )


def restore(path: Path) -> Order:
    """A backup into this empty data folder."""
    return Order(("restore", str(path)))


def hand_out(name: str, path: Path) -> Order:
    """All that is kept of somebody."""
    return Order(("person", "export", "-o", str(path), "--", name))


def erase(name: str) -> Order:
    """All of it gone; who asks has asked for the name once more."""
    return Order(("person", "erase", "--yes", "--", name))


def command_line(home: Path, order: Order) -> list[str]:
    """The whole command line behind the interpreter.

    >>> command_line(Path("/h"), SQUAD)
    ['-m', 'swaytrainer', '--home', '/h', '--language', 'en', 'squad']
    """
    module = "swaytrainer.by_icon" if order.stays else "swaytrainer"
    return ["-m", module, *arguments_of(home, order)]


def arguments_of(home: Path, order: Order) -> list[str]:
    """Behind the program's name; global options stand before the order's command, as they must."""
    return ["--home", str(home), "--language", language(), *order.arguments]
