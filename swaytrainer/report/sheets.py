"""What a sheet of paper holds. All words in it may be ``words.say``: a page puts them into the
language in use. Names and what a coach wrote stand as they are."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class ResultLine:
    """One vaulter in a class, as the standings give it.

    Attributes:
        place: 1 for the first; None without a whole result.
        name: whose.
        marks: of the trials that count, 0-10, in their order.
        mean, best, spread: of them; NaN without any. Spread is best less worst.
        close_to: names of those from whom the measurement can't tell this place apart.
        note: withdrawn, or trials to come; empty otherwise.
    """

    place: int | None
    name: str
    marks: tuple[float, ...]
    mean: float
    best: float
    spread: float
    close_to: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class ResultClass:
    """A class, best first.

    Attributes:
        name: as the coach called it.
        lines: one for each vaulter.
        note: what is to be said of the whole class; empty otherwise.
    """

    name: str
    lines: tuple[ResultLine, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class ResultTeam:
    """A team: its place (None without a whole result), name, mark and the members that counted."""

    place: int | None
    name: str
    mark: float
    members: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ResultSheet:
    """The results of a contest.

    Attributes:
        title: of the contest.
        level: title of the level that all did.
        day: of the contest.
        trials: so many trials count of each.
        classes, teams: best first; no teams, no table of them.
        team_counts: so many best members count.
        rules: a sentence each.
        rulings: what the judges decided, a sentence each.
        whole: False while trials are to come: then the sheet says that it is not final.
    """

    title: str
    level: str
    day: date
    trials: int
    classes: tuple[ResultClass, ...]
    teams: tuple[ResultTeam, ...] = ()
    team_counts: int = 0
    rules: tuple[str, ...] = ()
    rulings: tuple[str, ...] = ()
    whole: bool = True
