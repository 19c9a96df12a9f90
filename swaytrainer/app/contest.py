"""``swaytrainer contest FILE``: who is next, standings, results, from the recordings alone."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Final

from swaytrainer.app.contest_results import result_sheet, standing_words, write_csv
from swaytrainer.errors import SwaytrainerError
from swaytrainer.squad.contest import Contest, Ruling, Stage
from swaytrainer.squad.contest_places import open_places, standings, team_marks
from swaytrainer.store.contest_book import ContestBook
from swaytrainer.store.contest_edit import add_ruling, add_stand_off, begin_contest
from swaytrainer.store.home import Home
from swaytrainer.words import Name, say, short, tr, translated

#: What a contest begins with where nothing else is said: eyes open, on firm ground.
_LEVEL: Final = "millpond-open-water"
#: Letters of a name in a table.
_WIDEST: Final = 24
STAGES: Final = {
    Stage.WARM_UP: say("warm-up"),
    Stage.ROUND: say("round"),
    Stage.STAND_OFF: say("stand-off"),
}


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
    _show(book)
    if options.trials:
        for attempt in sorted(book.attempts, key=lambda a: (a.vaulter, a.at, a.number)):
            mark = "no mark" if attempt.mark is None else f"{attempt.mark:.1f}"
            print(f"{attempt.vaulter}: {mark}, {attempt.recording}, trial {attempt.number}")
    _results(options, book)
    return 0


# Changes ------------------------------------------------------------------------------------------


def _begin(path: Path, home: Home, given: list[str], level: str | None) -> None:
    if given:
        raise SwaytrainerError(f"{given[0]!r} is too much.", f"Write: contest {path} begin")
    now = datetime.now().astimezone()
    written = Name(begin_contest(path, home, level or _LEVEL, now))
    print(translated("Written: {path}\nChange it with any editor.", path=written))


def _rule(path: Path, home: Home, given: list[str], reason: str | None) -> None:
    remedy = (
        f"Write: contest {path} rule withdrawn NAME --reason TEXT, or: contest {path} rule repeat"
        " RECORDING TRIAL --reason TEXT; --trials lists them."
    )
    if not reason or not reason.strip():
        raise SwaytrainerError("A ruling needs its reason.", remedy)
    match given:
        case ["withdrawn", name]:
            ruling = Ruling(name, "withdrawn", reason)
        case ["repeat", recording, number] if number.isdecimal():
            ruling = _repeat(ContestBook(home, path), recording, int(number), reason)
        case _:
            raise SwaytrainerError(f"{' '.join(given) or 'Nothing'!r} is no ruling.", remedy)
    add_ruling(path, home, ruling)
    _tell_written(path)


def _repeat(book: ContestBook, recording: str, number: int, reason: str) -> Ruling:
    """The ruling about one trial that there is."""
    name = Path(recording).name
    for attempt in book.attempts:
        if (attempt.recording, attempt.number) == (name, number):
            return Ruling(attempt.vaulter, "repeat", reason, name, number)
    raise SwaytrainerError(
        f"There is no trial {number} in a recording {name!r} of this contest.",
        "'contest FILE --trials' lists them.",
    )


def _stand_off(path: Path, home: Home, given: list[str]) -> None:
    if len(given) < 2:
        raise SwaytrainerError(
            "A stand-off is of two or more.", f"Write: contest {path} stand-off NAME NAME"
        )
    add_stand_off(path, home, given, datetime.now().astimezone().replace(microsecond=0))
    _tell_written(path)


def _tell_written(path: Path) -> None:
    print(translated("Written to {path}; to take it back, delete it there.", path=Name(path)))


# The standings ------------------------------------------------------------------------------------


def _show(book: ContestBook) -> None:
    told, attempts = book.contest, book.attempts
    rules = translated("{n} trials each, the mean counts", n=told.trials)
    if told.warm_up:
        rules = translated("{n} to warm up, then {rules}", n=told.warm_up, rules=rules)
    print(f"{told.title}: {told.level}, {rules}")
    if told.outside:
        print(translated("In no class: {names}", names=Name(", ".join(told.outside))))
    for name, lines in standings(told, attempts).items():
        alone = f" ({translated('one entry: nobody to beat')})" if len(lines) == 1 else ""
        print(f"\n{name}{alone}")
        width = min(_WIDEST, max(len(line.vaulter) for line in lines))
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
    for what, call in zip((say("Next"), say("then")), coming, strict=False):
        stage = tr(STAGES[call.stage])
        print(f"{tr(what)}: {call.vaulter}, {stage} {call.number} ({call.group})")


def _show_teams(told: Contest, book: ContestBook) -> None:
    if told.teams:
        print("\n" + translated("Teams, the best {n}", n=told.team_counts))
        for place, team, mark, best in team_marks(told, book.attempts):
            shown = f"{mark:.2f}" if place is not None else translated("not whole yet")
            print(f"  {place or '–':>3}  {team}  {shown}  {', '.join(best)}")


def _results(options: argparse.Namespace, book: ContestBook) -> None:
    if options.csv is not None:
        write_csv(options.csv, book.contest, book.attempts)
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
            f"The results' page needs {error.name}, which is not installed.",
            'Install it: pip install "swaytrainer[report]". --csv needs nothing.',
        ) from None
    return result_page(result_sheet(book))


def _write(path: Path, data: bytes, option: str) -> None:
    try:
        path.write_bytes(data)
    except OSError as error:
        raise SwaytrainerError(
            f"Can't write {path}: {error.strerror}.",
            f"Give a file that you may write with {option}.",
        ) from None
    print(say("Written: {path}", path=path))
