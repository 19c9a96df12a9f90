"""Progress put together: of each vaulter and measure, on equal terms, the change and the trend."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Final, NamedTuple

from swaytrainer.errors import SwaytrainerError
from swaytrainer.progress.change import Change, change_beside
from swaytrainer.progress.days import (
    NO_SCATTER,
    DatedValue,
    History,
    Scatter,
    history,
    scatter_about_line,
)
from swaytrainer.progress.senses import sense_of
from swaytrainer.progress.terms import Task, differences
from swaytrainer.progress.trend import Trend, trend
from swaytrainer.sway.table import FOOT_MEASURES, MEASURES
from swaytrainer.training.nearest import instead
from swaytrainer.training.tasks.catalogue import KINDS
from swaytrainer.training.vaulter import called
from swaytrainer.words import Name, listed, say

#: What is told if no measure is asked for. The area repeats poorly; it is shown all the same.
USUAL: Final = (
    "mark",
    "mean_speed_mm_s",
    "time_in_band_percent",
    "ellipse_area_mm2",
    "toe_share_percent",
    "right_share_percent",
)


class Found(NamedTuple):
    """One trial's value of one measure."""

    vaulter: str
    task: Task
    measure: str
    dated: DatedValue
    board_id: str


class Course(NamedTuple):
    """One vaulter's days of one measure on one set of terms.

    Attributes:
        boards: ids of the boards that measured them.
        scatter: of the days about their line, what they tell of the squad's scatter.
    """

    vaulter: str
    task: Task
    measure: str
    days: History
    boards: frozenset[str]
    scatter: Scatter


def courses(found: Iterable[Found]) -> list[Course]:
    """Trials gathered to days: one course for each vaulter, measure and set of terms."""
    groups: dict[tuple[str, str, Task], list[Found]] = {}
    for item in found:
        groups.setdefault((item.vaulter, item.measure, item.task), []).append(item)
    made = []
    for (vaulter, measure, task), items in groups.items():
        days = history((item.dated for item in items), sense_of(measure).log)
        boards = frozenset(item.board_id for item in items)
        scatter = scatter_about_line(days.days)
        made.append(Course(vaulter, task, measure, days, boards, scatter))
    return made


@dataclass(frozen=True, slots=True)
class Row:
    """The answer for one vaulter, one measure and one set of terms.

    Attributes:
        days: what it was reckoned from.
    """

    vaulter: str
    task: Task
    measure: str
    unit: str
    change: Change
    notes: tuple[str, ...]
    days: History

    @property
    def trend(self) -> Trend:
        """Reckoned when it is asked for: a table of the squad needs none."""
        return trend(self.days)


@dataclass(frozen=True, slots=True)
class Report:
    """All rows, what was refused to be compared, and what could not be read."""

    rows: tuple[Row, ...]
    refused: tuple[str, ...]
    notes: tuple[str, ...]


def assess(
    there: Sequence[Course],
    measures: tuple[str, ...],
    name: str | None,
    block_days: int,
    notes: Iterable[str] = (),
) -> Report:
    """The rows of one vaulter, or of all.

    Args:
        there: the whole squad's courses: what is known of the others' days helps with each.
        measures: keys.
        name: whose; None for all.
        block_days: the newest so many days are held against the first.
        notes: sentences to pass on.

    Raises:
        SwaytrainerError: there is no counted trial of that name.
    """
    names = sorted({course.vaulter for course in there})
    if name is not None:
        chosen = called(name, names)
        if chosen is None:
            raise SwaytrainerError(
                say(
                    "There is no counted trial of {name!r}; {instead}.",
                    name=Name(name),
                    instead=instead(name, names),
                )
                if names
                else say("There is no counted trial of {name!r}.", name=Name(name)),
                say("'swaytrainer index --squad' lists all who have some.")
                if names
                else say("Record some trials first."),
            )
        names = [chosen]
    own: dict[tuple[str, str], list[Course]] = {}
    alike: dict[tuple[str, Task], list[Course]] = {}
    for course in there:
        own.setdefault((course.vaulter, course.measure), []).append(course)
        alike.setdefault((course.measure, course.task), []).append(course)
    wanted = {
        (course.measure, course.task)
        for vaulter in names
        for measure in measures
        for course in own.get((vaulter, measure), ())
    }
    others = {key: _others(alike[key]) for key in wanted}
    rows: list[Row] = []
    refused: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for vaulter in names:
        for measure in measures:
            mine = own.get((vaulter, measure), [])
            for course in mine:
                squad = others[measure, course.task][vaulter]
                rows.append(_row(course, squad, block_days))
            for one, other in pairwise(mine):
                told = differences(one.task, other.task)
                refused.setdefault((vaulter, told), []).append(measure)
    sentences = tuple(
        say(
            "{name}: not compared across {what}: {measures}.",
            name=Name(vaulter),
            what=listed(found),
            measures=Name(", ".join(keys)),
        )
        for (vaulter, found), keys in refused.items()
    )
    return Report(tuple(rows), sentences, tuple(notes))


def _others(alike: Sequence[Course]) -> dict[str, Scatter]:
    """For each vaulter how all the others' days scatter: sums from both ends, no differences."""
    before = [NO_SCATTER]
    for course in alike[:-1]:
        before.append(before[-1].plus(course.scatter))
    found = {}
    after = NO_SCATTER
    for n in range(len(alike) - 1, -1, -1):
        found[alike[n].vaulter] = before[n].plus(after)
        after = after.plus(alike[n].scatter)
    return found


def _row(course: Course, squad: Scatter, block_days: int) -> Row:
    unit = unit_of(course.measure)
    said = []
    if course.days.left_out:
        many = counted(course.days.left_out, "trial")
        said.append(say("{many} without a usable value left out.", many=many))
    if len(course.boards) > 1:
        said.append(
            say("Measured on {n} boards: their own noise may differ.", n=len(course.boards))
        )
    told = change_beside(course.days, squad, sense_of(course.measure), block_days, unit)
    return Row(course.vaulter, course.task, course.measure, unit, told, tuple(said), course.days)


@cache
def unit_of(measure: str) -> str:
    """The unit of a measure; empty for one that nobody knows.

    >>> unit_of("mark"), unit_of("mean_speed_mm_s")
    ('of 10', 'mm/s')
    """
    if measure == "mark":
        return say("of 10")
    units = {key: about.unit for key, about in {**MEASURES, **FOOT_MEASURES}.items()}
    for kind in KINDS.values():
        units |= {key: about.unit for key, about in kind.measures.items()}
    return units.get(measure, "")


def counted(number: int, what: str) -> str:
    """A number of things, in words: in another language too, if the thing is known here.

    >>> counted(1, "day"), counted(2, "day")
    ('1 day', '2 days')
    """
    one = number == 1
    known = {
        "day": say("{n} day" if one else "{n} days", n=number),
        "trial": say("{n} trial" if one else "{n} trials", n=number),
        "sitting": say("{n} sitting" if one else "{n} sittings", n=number),
        "recording": say("{n} recording" if one else "{n} recordings", n=number),
        "file": say("{n} file" if one else "{n} files", n=number),
        "line": say("{n} line" if one else "{n} lines", n=number),
        "finding": say("{n} finding" if one else "{n} findings", n=number),
    }
    return known.get(what) or (f"{number} {what}" if one else f"{number} {what}s")
