"""A contest's results as a table and as what a sheet of paper holds."""

from __future__ import annotations

import csv
import math
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.exchange.cells import neutral
from swaytrainer.squad.contest import Attempt, Contest
from swaytrainer.squad.contest_places import Standing, standings, team_marks
from swaytrainer.store.contest_book import ContestBook
from swaytrainer.words import Name, number, say, short, tr, translated

#: Letters of a name where many stand in a line.
_WIDEST: Final = 24

if TYPE_CHECKING:
    from swaytrainer.report.sheets import ResultSheet


def _names(names: Sequence[str]) -> str:
    return ", ".join(short(name, _WIDEST) for name in names)


def standing_words(line: Standing) -> str:
    """A line of the standings: its marks, and what follows from them."""
    marks = " ".join(number(mark, "4.1f") for mark in line.marks)
    if line.note:
        return f"{marks}  {tr(line.note)}"
    close = f"  ≈ {_names(line.close_to)}" if line.close_to else ""
    off = ""
    if not math.isnan(line.stood_off):
        off = f"  {translated('stand-off')} {number(line.stood_off, '.1f')}"
    mean = translated(
        "mean {mean:.2f}  best {best:.1f}  spread {spread:.1f}",
        mean=line.mean,
        best=line.best,
        spread=line.spread,
    )
    return f"{marks}  {mean}{off}{close}"


def write_csv(path: Path, told: Contest, attempts: Sequence[Attempt]) -> None:
    """The standings as a table: a row for each vaulter, then one for each team.

    Raises:
        SwaytrainerError: the file can't be written.
    """
    head = ["class", "place", "vaulter", "mean", "best", "spread", "stand-off",
            "can't be told from", "note", "team", "counted"]  # fmt: skip
    rows: list[list[object]] = []
    for name, lines in standings(told, attempts).items():
        for line in lines:
            rows.append(
                [name, line.place, line.vaulter, line.mean, line.best, line.spread,
                 line.stood_off, ", ".join(line.close_to), line.note, "", "", *line.marks]
            )  # fmt: skip
    for place, team, mark, best in team_marks(told, attempts):
        rows.append(["teams", place, "", mark, None, None, None, "", "", team, ", ".join(best)])
    try:
        with path.open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file)
            writer.writerow([*head, *(f"trial {n + 1}" for n in range(told.trials))])
            width = len(head) + told.trials
            for row in rows:
                cells = [_cell(cell) for cell in row]
                writer.writerow([*cells, *[""] * (width - len(cells))])
    except OSError as error:
        raise SwaytrainerError(
            say("Can't write {path}: {why}.", path=Name(path), why=Name(error.strerror)),
            say("Give a file that you may write with --csv."),
        ) from None


def _cell(value: object) -> object:
    if isinstance(value, float):
        # Marks have one decimal: of their means no more is known.
        return "" if math.isnan(value) else round(value, 4)
    return neutral(value)


def rules_of(told: Contest) -> tuple[str, ...]:
    """The rules that this contest went by, a sentence each."""
    rules = [
        say("The mean of {trials} trials counts, each on the same level.", trials=told.trials),
        "Marks count as they are shown, with one decimal.",
        "Of equal means the better best mark is first, then the smaller spread; still equal, the"
        " place is shared.",
    ]
    if told.warm_up:
        rules.append(say("Before them {n} to warm up, never counted.", n=told.warm_up))
    if told.trials > 1:
        rules.append(
            "≈: the measurement can't tell these places apart (Tukey's test over the class, 95 %)."
        )
    if told.stand_offs:
        rules.append(
            "A stand-off decides the order of such neighbours by one more trial; where it brings"
            " equal marks, the order stays."
        )
    if told.teams:
        rules.append(
            say("A team's mark is the mean of its best {n} members' means.", n=told.team_counts)
        )
    return tuple(rules)


def rulings_of(told: Contest) -> tuple[str, ...]:
    """What the judges decided, a sentence each."""
    return tuple(
        say("{name} withdrew: {why}.", name=Name(r.vaulter), why=Name(r.reason))
        if r.kind == "withdrawn"
        else say(
            "{name} repeated a trial ({recording}, {n}): {why}.",
            name=Name(r.vaulter),
            recording=Name(r.recording),
            n=r.trial,
            why=Name(r.reason),
        )
        for r in told.rulings
    )


def result_sheet(book: ContestBook) -> ResultSheet:
    """What the sheet of results holds."""
    from swaytrainer.report.sheets import ResultClass, ResultLine, ResultSheet, ResultTeam

    told, attempts = book.contest, book.attempts

    def line_of(line: Standing) -> ResultLine:
        return ResultLine(
            line.place, line.vaulter, line.marks, line.mean, line.best, line.spread,
            line.close_to, line.note, line.stood_off,
        )  # fmt: skip

    classes = tuple(
        ResultClass(
            name,
            tuple(line_of(line) for line in lines),
            "One entry: nobody to beat." if len(lines) == 1 else "",
        )
        for name, lines in standings(told, attempts).items()
    )
    teams = tuple(ResultTeam(*team) for team in team_marks(told, attempts))
    return ResultSheet(
        told.title,
        book.level.title,
        told.since.date(),
        told.trials,
        classes,
        teams,
        told.team_counts if told.teams else 0,
        rules_of(told),
        rulings_of(told),
        not book.calls(),
    )
