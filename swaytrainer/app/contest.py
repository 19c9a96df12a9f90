"""``swaytrainer contest FILE``: who is next, standings, results, from the recordings alone."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Final

from swaytrainer.app.choices import no_level
from swaytrainer.app.contest_results import (
    result_sheet,
    standing_words,
    write_csv,
)
from swaytrainer.errors import SwaytrainerError
from swaytrainer.squad.contest import Contest, Ruling, Stage, sort_out
from swaytrainer.squad.contest_places import may_stand_off, open_places, standings, team_marks
from swaytrainer.squad.contest_words import STAGES, newest_first, trial_words
from swaytrainer.store.contest_book import ContestBook
from swaytrainer.store.contest_edit import add_ruling, add_stand_off, begin_contest
from swaytrainer.store.home import Home
from swaytrainer.training.nearest import instead
from swaytrainer.training.vaulter import called
from swaytrainer.words import Name, number, say, short, tr, translated

#: What a contest begins with where nothing else is said: eyes open, on firm ground.
_LEVEL: Final = "millpond-open-water"
#: Letters of a name in a table.
_WIDEST: Final = 24


def contest(options: argparse.Namespace, home: Home) -> int:
    """Show or change a contest; its exit status.

    Raises:
        SwaytrainerError: the file can't be used, or something can't be written.
    """
    path: Path = options.file
    given: list[str] = options.what
    does: dict[str | None, Callable[[], None]] = {
        "begin": lambda: _begin(path, home, given, options.level),
        "rule": lambda: _rule(path, home, given, options.reason),
        "stand-off": lambda: _stand_off(path, home, given),
        None: lambda: None,
    }
    does[options.do]()
    book = ContestBook(home, path)
    for sentence in book.unread:
        print(sentence)
    if options.trials:
        print(translated("Every trial, the newest first"))
        for attempt in newest_first(book.attempts):
            print(f"  {trial_words(book.contest, book.attempts, attempt)}")
        print()
    _results(options, book)
    _show(book, _now())
    return 0


def _now() -> datetime:
    return datetime.now().astimezone()


# Changes ------------------------------------------------------------------------------------------


def _begin(path: Path, home: Home, given: list[str], level: str | None) -> None:
    if given:
        raise SwaytrainerError(
            say("{what} is too much.", what=Name(repr(given[0]))),
            say("Write: contest {path} begin", path=Name(path)),
        )
    ids = [each.id for each in home.level_shelf().levels]
    if level is not None and level not in ids:
        raise no_level(level, ids)
    written = Name(begin_contest(path, home, level or _LEVEL, _now()))
    print(translated("Written: {path}\nChange it with any editor.", path=written))


def _rule(path: Path, home: Home, given: list[str], reason: str | None) -> None:
    remedy = say(
        "Write: contest {path} rule withdrawn NAME --reason TEXT, or: contest {path} rule repeat"
        " RECORDING TRIAL --reason TEXT; --trials lists them.",
        path=Name(path),
    )
    if not reason or not reason.strip():
        raise SwaytrainerError(say("A ruling needs its reason."), remedy)
    match given:
        case ["withdrawn", name]:
            contest = ContestBook(home, path).contest
            ruling = Ruling(_entered(contest, name), "withdrawn", reason)
            if contest.withdrawn(ruling.vaulter):
                raise SwaytrainerError(
                    say("{name} has withdrawn already.", name=Name(ruling.vaulter)),
                    say("To change the reason, change it in the file."),
                )
        case ["repeat", recording, number] if number.isdecimal():
            ruling = _repeat(ContestBook(home, path), recording, int(number), reason)
        case _:
            what = Name(repr(" ".join(given) or "Nothing"))
            raise SwaytrainerError(say("{what} is no ruling.", what=what), remedy)
    add_ruling(path, home, ruling)
    _tell_written(path)


def _entered(contest: Contest, name: str) -> str:
    """Who is entered by this name, however it is written."""
    names = contest.vaulters
    found = called(name, names)
    if found is None:
        raise SwaytrainerError(
            say(
                "{name!r} is not entered; {instead}.", name=Name(name), instead=instead(name, names)
            ),
            say("'contest FILE' lists all."),
        )
    return found


def _repeat(book: ContestBook, recording: str, number: int, reason: str) -> Ruling:
    """The ruling about one trial that there is."""
    given = Path(recording)
    there = [a for a in book.attempts if a.recording == given.name and a.number == number]
    meant = [a for a in there if a.folder == given.parent.name] or there
    if not meant:
        raise SwaytrainerError(
            say(
                "There is no trial {n} in a recording {name} of this contest.",
                n=number,
                name=Name(repr(given.name)),
            ),
            say("'contest FILE --trials' lists them."),
        )
    if len({(a.vaulter, a.at) for a in meant}) > 1:
        several = ", ".join(a.whole_name for a in meant)
        raise SwaytrainerError(
            say("There are several recordings {name}.", name=Name(repr(given.name))),
            say("Name it with its day: {names}.", names=Name(several)),
        )
    taken = meant[0]
    done = sort_out(book.contest, book.attempts).get(taken.vaulter)
    # A file that was copied counts once, under whichever name.
    key = (taken.vaulter, taken.at, taken.number)
    twins = [a for a in book.attempts if (a.vaulter, a.at, a.number) == key]
    was = next((w for a in twins if done is not None and (w := done.was_for(a))), None)
    if was is None or was[0] is Stage.WARM_UP:
        raise SwaytrainerError(
            say("That trial does not count: there is nothing to take back."),
            say("'contest FILE --trials' tells what each was for."),
        )
    name = taken.recording if len(there) == len(meant) else taken.whole_name
    return Ruling(taken.vaulter, "repeat", reason, name, number)


def _stand_off(path: Path, home: Home, given: list[str]) -> None:
    if len(given) < 2:
        raise SwaytrainerError(
            say("A stand-off is of two or more."),
            say("Write: contest {path} stand-off NAME NAME", path=Name(path)),
        )
    book, now = ContestBook(home, path), _now()
    told = book.contest
    if now > told.until:
        raise SwaytrainerError(
            say("The contest ended at {at}: nothing counts any more.", at=_time(told.until)),
            say("Put a later 'until' into {path}, then ask again.", path=Name(path)),
        )
    names = [_entered(told, name) for name in given]
    waiting = {c.vaulter for c in book.calls() if c.stage is Stage.STAND_OFF} & set(names)
    if waiting:
        raise SwaytrainerError(
            say(
                "{names}: a stand-off is still to be done.", names=Name(", ".join(sorted(waiting)))
            ),
            say("Let it be done first, or delete it in the file."),
        )
    classes = standings(told, book.attempts).values()
    mine = next((lines for lines in classes if names[0] in {s.vaulter for s in lines}), ())
    late = [s.vaulter for s in mine if s.place is None and not told.withdrawn(s.vaulter)]
    if late:
        raise SwaytrainerError(
            say(
                "Not all of the class have done their trials: {names}.", names=Name(", ".join(late))
            ),
            say("A stand-off comes after them; who doesn't come is withdrawn."),
        )
    if not any(may_stand_off(lines, names) for lines in classes):
        still_open = [" – ".join(run) for lines in classes for run in open_places(lines)]
        raise SwaytrainerError(
            say(
                "{names}: there is nothing to stand off. It is for neighbours whose place is shared"
                " or can't be told apart, all of them.",
                names=Name(", ".join(names)),
            ),
            say("These may: {names}.", names=Name("; ".join(still_open)))
            if still_open
            else say("Nobody may as it stands: the mean counts."),
        )
    add_stand_off(path, home, names, now.replace(microsecond=0))
    _tell_written(path)


def _tell_written(path: Path) -> None:
    print(
        translated(
            "Written to {path}. To take it back, take it out there, or at the desk: “Change it …”.",
            path=Name(path),
        )
    )


def _time(at: datetime) -> Name:
    return Name(f"{at.astimezone():%Y-%m-%d %H:%M}")


# The standings ------------------------------------------------------------------------------------


def _show(book: ContestBook, now: datetime) -> None:
    told, attempts = book.contest, book.attempts
    rules = translated("one trial each")
    if told.trials > 1:
        rules = translated("{n} trials each, the mean counts", n=told.trials)
    if told.warm_up:
        rules = translated("{n} to warm up, then {rules}", n=told.warm_up, rules=rules)
    print(f"{told.title}: {tr(book.level.title)}, {rules}")
    for sentence in told.left_out():
        print(tr(sentence))
    for name, lines in standings(told, attempts).items():
        alone = f" ({translated('one entry: nobody to beat')})" if len(lines) == 1 else ""
        empty = "" if lines else f" ({translated('nobody')})"
        print(f"\n{name}{alone}{empty}")
        width = min(_WIDEST, max((len(line.vaulter) for line in lines), default=0))
        for line in lines:
            place = "–" if line.place is None else f"{line.place}{'≈' if line.close_to else ''}"
            print(f"  {place:>3}  {short(line.vaulter, width):<{width}}  {standing_words(line)}")
        if told.trials == 1:
            sure = translated("With one trial each nobody knows how sure these places are.")
            print(f"  {sure}")
        for names in open_places(lines):
            apart = translated(
                "{names}: the measurement can't tell these places apart; they may stand off.",
                names=Name(", ".join(names)),
            )
            print(f"  ≈ {apart}")
    _show_teams(told, book)
    coming = book.calls()
    if not coming:
        print("\n" + translated("All have done their trials."))
    if not told.is_on(now):
        # Nobody is called: what is done now would not count.
        outside = (
            say("The contest begins at {at}.", at=_time(told.since))
            if now < told.since
            else say("The contest ended at {at}: nothing counts any more.", at=_time(told.until))
        )
        print("\n" + tr(outside))
        return
    for what, call in zip((say("Next"), say("then")), coming, strict=False):
        stage = tr(STAGES[call.stage])
        print(f"{tr(what)}: {call.vaulter}, {stage} {call.number} ({call.group})")


def _show_teams(told: Contest, book: ContestBook) -> None:
    if told.teams:
        print("\n" + translated("Teams, the best {n}", n=told.team_counts))
        for place, team, mark, best in team_marks(told, book.attempts):
            shown = number(mark, ".2f") if place is not None else translated("not whole yet")
            print(f"  {place or '–':>3}  {team}  {shown}  {', '.join(best)}")


def _results(options: argparse.Namespace, book: ContestBook) -> None:
    if options.csv is not None:
        write_csv(options.csv, book.contest, book.attempts)
        print(translated("Written: {path}", path=Name(options.csv)))
    if options.html is None and options.pdf is None:
        return
    page = _page(book)
    if options.html is not None:
        _write(options.html, page.encode(), "--html")
    if options.pdf is not None:
        from swaytrainer.report.paper import as_pdf

        _write(options.pdf, as_pdf(page), "--pdf")


def _page(book: ContestBook) -> str:
    try:
        from swaytrainer.report.pages import result_page
    except ModuleNotFoundError as error:
        raise SwaytrainerError(
            say("The results' page needs {what}, which is not installed.", what=Name(error.name)),
            say('Install it: pip install "swaytrainer[report]". --csv needs nothing.'),
        ) from None
    return result_page(result_sheet(book))


def _write(path: Path, data: bytes, option: str) -> None:
    try:
        path.write_bytes(data)
    except OSError as error:
        raise SwaytrainerError(
            say("Can't write {path}: {why}.", path=Name(path), why=Name(error.strerror)),
            say("Give a file that you may write with {option}.", option=Name(option)),
        ) from None
    print(translated("Written: {path}", path=Name(path)))
