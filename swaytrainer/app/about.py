"""All that is known of each vaulter, gathered from list, coach's words, levels and recordings."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date

from swaytrainer.app.gathered import gathered
from swaytrainer.app.past import Past
from swaytrainer.errors import SwaytrainerError
from swaytrainer.progress.about import About
from swaytrainer.progress.assess import USUAL, assess
from swaytrainer.progress.contrasts import contrasts_of
from swaytrainer.progress.senses import senses
from swaytrainer.store.home import Home
from swaytrainer.training.history import in_order
from swaytrainer.training.ladder import each_ladder
from swaytrainer.training.vaulter import Vaulter, plain_name
from swaytrainer.words import say

#: Enough for the squad's words; the others repeat too badly to call somebody changed by them.
SQUAD_MEASURES = ("mark", "mean_speed_mm_s", "time_in_band_percent")
#: Days in a block, as ``progress`` has it without ``--block-days``.
BLOCK_DAYS = 3


def vaulter_named(home: Home, name: str) -> Vaulter:
    """The vaulter of this name, however it is written.

    Raises:
        SwaytrainerError: there is none.
    """
    there = home.vaulters()
    for vaulter in there:
        if plain_name(vaulter.name) == plain_name(name):
            return vaulter
    raise SwaytrainerError(
        f"There is no vaulter {name!r}; there are {', '.join(v.name for v in there) or 'none'}.",
        "Take one of these, or add one: swaytrainer vaulter NAME",
    )


def abouts(
    home: Home, vaulters: Collection[Vaulter], today: date, whole: bool
) -> tuple[list[About], list[str]]:
    """What is known of these vaulters, in their order, and sentences on what was left out.

    Args:
        home: the data folder.
        vaulters: of its list.
        today: the day at the club's place.
        whole: all that a page about somebody tells, also what costs points; else what the squad's
            words need.
    """
    levels, notes = home.levels()
    past = Past(home)
    names = [v.name for v in vaulters]
    tried = past.of_each(names, levels)
    words = home.all_coach_words()
    measures = list(USUAL if whole else SQUAD_MEASURES)
    for name in names if whole else ():
        for t in in_order(tried[name])[-1:]:
            known = senses()
            measures += [p.measure for p in t.level.parts if p.measure in known]
    wanted = tuple(dict.fromkeys(measures))
    found, left_out = gathered(home, wanted)
    # The index stands for the recordings in both questions: it is said once.
    report = assess(found, wanted, None, BLOCK_DAYS)
    made = []
    for vaulter in vaulters:
        rows = tuple(row for row in report.rows if row.vaulter == vaulter.name)
        steps = tuple(each_ladder(levels, tried[vaulter.name], words.get(vaulter.name, [])))
        contrasts = tuple(contrasts_of(rows)) if whole else ()
        made.append(
            About(vaulter, today, levels, tuple(tried[vaulter.name]), rows, contrasts, steps)
        )
    return made, [*notes, *left_out]


def since_words(about: About) -> str:
    """When somebody trained last."""
    days = about.days_since
    if days is None:
        return say("never")
    if days == 0:
        return say("today")
    return say("yesterday") if days == 1 else say("{n} days ago", n=days)


def week_words(about: About) -> str:
    """What was trained in the last seven days."""
    week = about.load(7)
    if week.days == 0:
        return "–"
    return say("{days} d, {minutes:.0f} min", days=week.days, minutes=week.minutes)
