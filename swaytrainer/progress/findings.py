"""Three findings for a vaulter: what a coach would say first, with the numbers behind it.

First what has changed for the better, then what was climbed, what is worth a look, a clear
difference between two ways of the same, what costs points, where the weight lies uneven, and how
much is missing to pass. Nothing is told that the ordinary day-to-day scatter would explain, but as
what it is: ordinary; and that, with how much was trained, only where there is little else.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final, NamedTuple

from swaytrainer.progress.about import (
    RECENT_DAYS,
    About,
    amount,
    change_words,
    game_of,
    measure_words,
    where_words,
)
from swaytrainer.progress.assess import Row, unit_of
from swaytrainer.progress.change import NOT_ENOUGH, REAL, REAL_BETTER, REAL_WORSE
from swaytrainer.progress.contrasts import EYES, FEEDBACK, Contrast
from swaytrainer.progress.senses import sense_of
from swaytrainer.training.history import Tried
from swaytrainer.training.level import STANCES, Level, MarkPart
from swaytrainer.training.tasks.catalogue import markable
from swaytrainer.words import say

MOST: Final = 3
#: What is as it should be, or as ever, is told only up to so many: a third one tells nothing.
_ENOUGH: Final = 2
_WHOLE_SOLE: Final = say("Your weight lies well over the whole sole.")
#: What a measure is about, where another one is about the same.
_ABOUT: Final = {"mean_speed_mm_s": "calm", "ellipse_area_mm2": "calm"}
#: A part of the mark that earns less than this share of its points is worth a word: our choice.
_EARNED: Final = 0.8
#: Percent of the weight by which one foot may bear more before it is worth a word: our choice. Feet
#: that stand a centimetre off the middle of the board make 5 % of it at a stance of 20 cm.
_EVEN_WITHIN: Final = 5.0


class Finding(NamedTuple):
    """What is said, and the numbers behind it."""

    words: str
    numbers: str


def findings(about: About, most: int = MOST) -> list[Finding]:
    """The first so many findings; fewer where less is known.

    Args:
        about: the vaulter. Rows of measures that a level marks tell what costs points.
        most: at most so many.
    """
    if not about.done:
        return []
    found: list[Finding] = []
    for finding, wanted in (
        *((finding, most) for finding in _telling(about)),
        *((finding, min(most, _ENOUGH)) for finding in _ordinary(about)),
    ):
        if len(found) < wanted and finding.words not in {f.words for f in found}:
            found.append(finding)
    return found


def _telling(about: About) -> Iterator[Finding]:
    better = about.changed(REAL_BETTER)
    told: dict[str, Finding] = {}
    # The area repeats worse than the others: it speaks where they don't.
    for row in sorted(better, key=lambda row: row.measure == "ellipse_area_mm2"):
        finding = _better(row)
        if finding is not None:
            # A smaller area and a slower path say the same.
            told.setdefault(_ABOUT.get(row.measure, row.measure), finding)
    yield from list(told.values())[:1]
    newest = about.newest
    if newest is not None:
        # What the whole program is about comes before a second gain.
        yield from (each for each in _even(about, newest) if each.words != _WHOLE_SOLE)
    yield from list(told.values())[1:2]
    for climb in about.climbs()[:1]:
        yield Finding(
            say("You climbed the ladder to “{level}”.", level=climb.level.title),
            say("{n} rungs up in four weeks" if climb.rungs > 1 else "{n} rung up in four weeks",
                n=climb.rungs),
        )  # fmt: skip
    for row in about.changed(REAL_WORSE)[:1]:
        yield Finding(
            say(
                "Worth a look together with your coach: {measure} ({where}).",
                measure=measure_words(row.measure),
                where=where_words(row),
            ),
            _numbers(row),
        )
    yield from _contrasts(about)[:1]
    if newest is not None:
        yield from _costs(about, newest)
        yield from _sides(about, newest)
    yield from _moved(about)
    if newest is not None:
        yield from _missing(about, newest)


def _ordinary(about: About) -> Iterator[Finding]:
    if about.newest is not None:
        yield from (each for each in _even(about, about.newest) if each.words == _WHOLE_SOLE)
    yield from _holds(about)
    yield from _too_early(about)
    load = about.load(RECENT_DAYS)
    yield Finding(
        say("Two days a week are what trains well; yours of the last four weeks:"),
        say("{days} days, {minutes:.0f} min on the board", days=load.days, minutes=load.minutes),
    )


def _better(row: Row) -> Finding | None:
    where = where_words(row)
    words = {
        "mark": say("Your marks have really risen ({where}).", where=where),
        "mean_speed_mm_s": say("You stand calmer than when you began ({where}).", where=where),
        "time_in_band_percent": say("You keep your weight even for longer ({where}).", where=where),
        "ellipse_area_mm2": say("You sway over a smaller area ({where}).", where=where),
    }.get(row.measure)
    return None if words is None else Finding(words, _numbers(row))


def _numbers(row: Row) -> str:
    c = row.change
    if math.isnan(c.ordinary_low):
        return say("{change}; {days} days", change=change_words(row), days=c.days)
    return say(
        "{change}; an ordinary day: {low} to {high}; {days} days",
        change=change_words(row),
        low=amount(c.ordinary_low, ""),
        high=amount(c.ordinary_high, row.unit),
        days=c.days,
    )


def _contrasts(about: About) -> list[Finding]:
    found: list[tuple[float, Finding]] = []
    for each in about.contrasts:
        if each.clear and each.measure in ("mark", "mean_speed_mm_s"):
            half = (each.high - each.low) / 2.0
            sure = abs(each.difference) / half if half > 0.0 else 0.0
            found.append((-sure, Finding(_contrast_words(each), _contrast_numbers(each))))
    found.sort(key=lambda pair: (pair[0], pair[1].words))
    return [finding for _, finding in found]


def _contrast_words(each: Contrast) -> str:
    more_sway = (each.difference > 0.0) == (sense_of(each.measure).better == "less")
    if each.term == EYES:
        return say(
            "With eyes closed you sway more than with them open: most people do."
            if more_sway
            else "With eyes closed you stand even better than with them open."
        )
    if each.term == FEEDBACK:
        return say(
            "Without the picture it is harder for you: trust the feel of your soles."
            if more_sway
            else "You don't need the picture: without it you do as well or better."
        )
    return say(
        "Your left leg has more to learn than your right one."
        if more_sway
        else "Your right leg has more to learn than your left one."
    )


def _contrast_numbers(each: Contrast) -> str:
    unit = unit_of(each.measure)
    return say(
        "{measure}: {one} {a}, {other} {b}, on {days} days with both",
        measure=measure_words(each.measure),
        one=each.one,
        a=amount(each.one_mean, unit),
        other=each.other,
        b=amount(each.other_mean, unit),
        days=each.days,
    )


def _row_of(about: About, newest: Tried, measure: str) -> Row | None:
    """The row of this measure on the newest trial's terms."""
    for row in about.rows:
        terms = row.task.terms
        if (
            row.measure == measure
            and row.days.days
            and game_of(row) == newest.level.game
            and (terms.base, terms.stance, terms.eyes, terms.feedback)
            == (newest.level.base, newest.level.stance, newest.level.eyes, newest.feedback)
            and row.days.days[-1].day == newest.day.toordinal()
        ):
            return row
    return None


def _latest(row: Row) -> float:
    """The newest day's mean."""
    return row.days.unit(row.days.days[-1].mean)


def _share(part: MarkPart, value: float) -> float:
    share = (value - part.nothing_at) / (part.all_at - part.nothing_at)
    return min(max(share, 0.0), 1.0)


def _costs(about: About, newest: Tried) -> Iterator[Finding]:
    """The part of the newest level's mark that costs most."""
    costs: list[tuple[float, float, MarkPart, float]] = []
    for part in newest.level.parts:
        row = _row_of(about, newest, part.measure)
        if row is not None:
            value = _latest(row)
            share = _share(part, value)
            costs.append(((1.0 - share) * part.weight, share, part, value))
    if not costs:
        return
    _, share, part, value = max(costs, key=lambda cost: cost[0])
    if share < _EARNED:
        known = markable(newest.level.game)[part.measure]
        yield Finding(
            say("What still costs you most points: {what}.", what=known.label),
            say(
                "{value} on the last day; all points at {all} ({level})",
                value=amount(value, known.unit),
                all=amount(part.all_at, known.unit),
                level=newest.level.title,
            ),
        )


def _missing(about: About, newest: Tried) -> Iterator[Finding]:
    """How many points the newest level's mark to pass is away."""
    row = _row_of(about, newest, "mark")
    if row is None:
        return
    mark, enough = _latest(row), newest.level.pass_mark
    if mark < enough:
        yield Finding(
            say(
                "Your last day was {points:.1f} points short of passing “{level}”.",
                points=max(enough - mark, 0.1),
                level=newest.level.title,
            ),
            say(
                "mark {mark:.1f} on the last day; {enough:g} passes a trial",
                mark=mark,
                enough=enough,
            ),
        )


def _even(about: About, newest: Tried) -> Iterator[Finding]:
    """How the weight lies between toes and heels, against the level's band."""
    row = _row_of(about, newest, "toe_share_percent")
    if row is None:
        return
    share = _latest(row)
    level: Level = newest.level
    if share < level.band_low_percent:
        words = say("Your weight lies further back on the heels than asked.")
    elif share > level.band_high_percent:
        words = say("Your weight lies further forward on the toes than asked.")
    else:
        words = _WHOLE_SOLE
    yield Finding(
        words,
        say(
            "{share:.0f} % on the toes on the last day; asked: {low:.0f} to {high:.0f} %",
            share=share,
            low=level.band_low_percent,
            high=level.band_high_percent,
        ),
    )


def _sides(about: About, newest: Tried) -> Iterator[Finding]:
    """How the weight lies between the feet, where it lies on one of them more."""
    row = _row_of(about, newest, "right_share_percent")
    if row is None or newest.level.stance not in STANCES[:2]:
        return
    share = _latest(row)
    if abs(share - 50.0) > _EVEN_WITHIN:
        yield Finding(
            say("Your right foot bears more than your left one.")
            if share > 50.0
            else say("Your left foot bears more than your right one."),
            say(
                "left {left:.0f} %, right {right:.0f} % on the last day",
                left=100.0 - share,
                right=share,
            ),
        )


def _moved(about: About) -> Iterator[Finding]:
    for row in about.changed(REAL)[:1]:
        if row.measure == "toe_share_percent":
            forward = row.change.latest > row.change.before
            yield Finding(
                say(
                    "Your weight has moved towards the toes ({where})."
                    if forward
                    else "Your weight has moved towards the heels ({where}).",
                    where=where_words(row),
                ),
                _numbers(row),
            )


def _holds(about: About) -> Iterator[Finding]:
    marks = [row for row in about.rows if row.measure == "mark" and row.days.days]
    if not marks:
        return
    row = max(marks, key=lambda r: (r.days.days[-1].day, r.change.days))
    if row.change.verdict in (NOT_ENOUGH, REAL_BETTER, REAL_WORSE):
        return
    yield Finding(say("Your marks hold ({where}).", where=where_words(row)), _numbers(row))


def _too_early(about: About) -> Iterator[Finding]:
    marks = [row for row in about.rows if row.measure == "mark"]
    if marks and all(row.change.verdict == NOT_ENOUGH for row in marks):
        row = max(marks, key=lambda r: r.change.days)
        need = row.change.days + row.change.days_missing
        yield Finding(
            say("It is too early to tell a change from just another day."),
            say("{days} days on equal terms; it takes {need}", days=row.change.days, need=need),
        )
