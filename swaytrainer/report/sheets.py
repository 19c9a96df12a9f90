"""What a sheet of paper holds. All words in it may be ``words.say``: a page puts them into the
language in use. Names and what a coach wrote stand as they are."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

from swaytrainer.sway.cop import Array
from swaytrainer.sway.feet import Feet

#: Letters of a coach's sentence that fit a page with everything else on it.
LONGEST_SENTENCE = 240


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
        stood_off: the mark of the stand-off that decided this place; NaN where none did.
    """

    place: int | None
    name: str
    marks: tuple[float, ...]
    mean: float
    best: float
    spread: float
    close_to: tuple[str, ...] = ()
    note: str = ""
    stood_off: float = math.nan


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


@dataclass(frozen=True, slots=True)
class Soles:
    """Where the weight went in one trial.

    Attributes:
        feet: where heels and balls bear.
        x_mm, y_mm: the COP in the board's frame, shape (N,), right and forward positive; NaN where
            there is none.
        band: of the toe share, %, that was asked for.
        toe_share, right_share: mean shares of the load, %.
        title: what was done, and when.
    """

    feet: Feet
    x_mm: Array
    y_mm: Array
    band: tuple[float, float]
    toe_share: float
    right_share: float
    title: str


@dataclass(frozen=True, slots=True)
class Curve:
    """One measure over the days, on equal terms.

    Attributes:
        title: the measure, and on what.
        unit: of the values; empty for marks.
        days: (day, mean of its trials), in order.
        ordinary: where 95 % of an unchanged vaulter's days lie; None if that is not known yet.
        verdict: what is to be said of it.
    """

    title: str
    unit: str
    days: tuple[tuple[date, float], ...]
    ordinary: tuple[float, float] | None
    verdict: str


@dataclass(frozen=True, slots=True)
class Rung:
    """One ladder: where the vaulter is, and what leads on."""

    level: str
    reason: str


@dataclass(frozen=True, slots=True)
class NextStep:
    """What comes next.

    Attributes:
        what: the level, and whether it is new or the same.
        about: what it is for, or why; of the same one, what leads on.
        spotter: whether it needs one.
        cautions: what to beware of.
    """

    what: str
    about: str
    spotter: bool
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class VaulterSheet:
    """One page about a vaulter.

    Attributes:
        name, group: whose; the group may be empty.
        day: of the page.
        trained: how much, in words.
        soles: the newest counted trial; None without one.
        findings: (what is said, the numbers behind it), at most three.
        curves: at most two.
        rungs: a ladder each.
        next_step: None where nothing is on offer.
        caution: the coach's note in the list of vaulters; empty without.
        sentence: the coach's, for this page, at most ``LONGEST_SENTENCE`` letters; empty without.
    """

    name: str
    group: str
    day: date
    trained: str
    soles: Soles | None
    findings: tuple[tuple[str, str], ...]
    curves: tuple[Curve, ...]
    rungs: tuple[Rung, ...]
    next_step: NextStep | None
    caution: str = ""
    sentence: str = ""


@dataclass(frozen=True, slots=True)
class SquadLine:
    """One vaulter in the squad's table.

    Attributes:
        name: whose.
        word, why: how it goes, and what the word rests on.
        since: when she was here last, in words.
        week: what was trained in the last seven days, in words.
        step: the next step on a ladder; empty where there is none.
    """

    name: str
    word: str
    why: str
    since: str
    week: str
    step: str


@dataclass(frozen=True, slots=True)
class SquadSheet:
    """The squad on a page: a line each, and the rules behind the words."""

    title: str
    day: date
    lines: tuple[SquadLine, ...]
    rules: tuple[str, ...]
    notes: tuple[str, ...] = ()
    sentence: str = ""
