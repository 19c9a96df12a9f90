"""Progress put together: of each vaulter and measure, on equal terms, the change and the trend."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, NamedTuple

from swaytrainer.errors import SwaytrainerError
from swaytrainer.progress.change import Change, change
from swaytrainer.progress.days import DatedValue, History, history
from swaytrainer.progress.senses import sense_of
from swaytrainer.progress.terms import Task, differences
from swaytrainer.progress.trend import Trend, trend
from swaytrainer.sway.table import FOOT_MEASURES, MEASURES
from swaytrainer.training.tasks.catalogue import KINDS

#: What is told if no measure is asked for. The area repeats poorly; it is shown all the same.
USUAL: Final = (
    "mark",
    "mean_speed_mm_s",
    "time_in_band_percent",
    "ellipse_area_mm2",
    "toe_share_percent",
)


class Found(NamedTuple):
    """One trial's value of one measure."""

    vaulter: str
    task: Task
    measure: str
    dated: DatedValue
    board_id: str


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
    trend: Trend
    notes: tuple[str, ...]
    days: History


@dataclass(frozen=True, slots=True)
class Report:
    """All rows, what was refused to be compared, and what could not be read."""

    rows: tuple[Row, ...]
    refused: tuple[str, ...]
    notes: tuple[str, ...]


def assess(
    found: Sequence[Found],
    measures: tuple[str, ...],
    name: str | None,
    block_days: int,
    notes: Iterable[str] = (),
) -> Report:
    """The rows of one vaulter, or of all."""
    groups: dict[tuple[str, str, Task], list[Found]] = {}
    for item in found:
        groups.setdefault((item.vaulter, item.measure, item.task), []).append(item)
    names = sorted({vaulter for vaulter, _, _ in groups})
    if name is not None:
        chosen = [v for v in names if v.casefold() == name.casefold()]
        if not chosen:
            raise SwaytrainerError(
                f"There is no counted trial of {name!r}.",
                f"Take one of {', '.join(names)}." if names else "Record some trials first.",
            )
        names = chosen
    histories = {
        key: history((item.dated for item in items), sense_of(key[1]).log)
        for key, items in groups.items()
    }
    tasks_of: dict[tuple[str, str], list[Task]] = {}
    alike: dict[tuple[str, Task], list[tuple[str, History]]] = {}
    for (vaulter, measure, task), own in histories.items():
        tasks_of.setdefault((vaulter, measure), []).append(task)
        alike.setdefault((measure, task), []).append((vaulter, own))
    rows: list[Row] = []
    refused: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for vaulter in names:
        for measure in measures:
            tasks = tasks_of.get((vaulter, measure), [])
            for task in tasks:
                own = histories[vaulter, measure, task]
                squad = [h for v, h in alike[measure, task] if v != vaulter]
                unit = unit_of(measure)
                said = []
                if own.left_out:
                    many = counted(own.left_out, "trial")
                    said.append(f"{many} without a usable value left out.")
                boards = {item.board_id for item in groups[vaulter, measure, task]}
                if len(boards) > 1:
                    said.append(f"Measured on {len(boards)} boards: their own noise may differ.")
                rows.append(
                    Row(
                        vaulter,
                        task,
                        measure,
                        unit,
                        change(own, squad, sense_of(measure), block_days, unit),
                        trend(own),
                        tuple(said),
                        own,
                    )
                )
            for one, other in pairwise(tasks):
                refused.setdefault((vaulter, differences(one, other)), []).append(measure)
    sentences = tuple(
        f"{vaulter}: not compared across {', '.join(found)}: {', '.join(keys)}."
        for (vaulter, found), keys in refused.items()
    )
    return Report(tuple(rows), sentences, tuple(notes))


def unit_of(measure: str) -> str:
    """The unit of a measure; empty for one that nobody knows.

    >>> unit_of("mark"), unit_of("mean_speed_mm_s")
    ('of 10', 'mm/s')
    """
    if measure == "mark":
        return "of 10"
    units = {key: about.unit for key, about in {**MEASURES, **FOOT_MEASURES}.items()}
    for kind in KINDS.values():
        units |= {key: about.unit for key, about in kind.measures.items()}
    return units.get(measure, "")


def counted(number: int, what: str) -> str:
    """A number of things, in words.

    >>> counted(1, "day"), counted(2, "day")
    ('1 day', '2 days')
    """
    return f"{number} {what}" if number == 1 else f"{number} {what}s"
