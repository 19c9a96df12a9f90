"""All that is known of one vaulter on a day, and what a coach would say of it in a word.

The words of the squad's table are rules, stated in ``RULES``: whoever is told "stuck" can be told
why. None is a verdict on a person, and none speaks of health.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import Final, NamedTuple

from swaytrainer.progress.assess import Row, counted
from swaytrainer.progress.change import REAL_BETTER, REAL_WORSE
from swaytrainer.progress.contrasts import Contrast
from swaytrainer.training.dose import SESSION_MINUTES, WEEK_DAYS
from swaytrainer.training.history import Tried, in_order
from swaytrainer.training.ladder import Step, Suggestion, path_of
from swaytrainer.training.level import STANCES, Level
from swaytrainer.training.risk import needs_spotter
from swaytrainer.training.vaulter import Vaulter
from swaytrainer.words import Name, say

#: A step on a ladder, or training days, tell of the last so many days: four weeks, our choice.
RECENT_DAYS: Final = 28
#: With fewer training days in that time nobody can be called stuck: our choice.
STUCK_TRAINING_DAYS: Final = 4
#: Who hasn't trained for so many days wasn't here: two weeks, our choice.
GONE_DAYS: Final = 14
#: "Too much" is told of the last so many days.
_WEEK: Final = 7


class Word(StrEnum):
    """How it goes, in the order in which a coach would look."""

    MUCH = "too much"
    BACK = "fell back"
    STEP = "due for a step"
    STUCK = "stuck"
    MOVES = "moves"
    STEADY = "steady"
    GONE = "not here"
    NEW = "new"


class Climb(NamedTuple):
    """A ladder climbed: rungs up, and to which level."""

    rungs: int
    level: Level


class Done(NamedTuple):
    """What was done on one day on one level: seconds on the board, and trials that counted."""

    day: date
    level_id: str
    seconds: float
    counted: int


def done_of(tried: Iterable[Tried]) -> tuple[Done, ...]:
    """Trials by day and level, in the order of the days."""
    found: dict[tuple[date, str], list[float]] = {}
    for t in in_order(tried):
        sums = found.setdefault((t.day, t.level.id), [0.0, 0])
        sums[0] += t.on_board_s
        sums[1] += t.mark is not None
    return tuple(Done(*key, seconds, int(counted)) for key, (seconds, counted) in found.items())


class Load(NamedTuple):
    """Training of some days: how many of them, minutes on the board, and of the fullest day."""

    days: int
    minutes: float
    fullest: float


@dataclass(frozen=True, slots=True)
class About:
    """One vaulter.

    Attributes:
        vaulter: who.
        today: the day at the club's place.
        rungs: of all levels, as ``rungs_of`` gives them.
        done: all trials that are known, by day and level.
        rows: of ``assess``, of this vaulter alone.
        steps: what comes next on each ladder that the vaulter is on.
        contrasts: of these rows.
        newest: the newest trial that counted; None without one, or where it is not asked for.
    """

    vaulter: Vaulter
    today: date
    rungs: Mapping[str, tuple[int, Level]]
    done: tuple[Done, ...]
    rows: tuple[Row, ...]
    steps: tuple[Suggestion, ...]
    contrasts: tuple[Contrast, ...] = ()
    newest: Tried | None = None

    @property
    def days_since(self) -> int | None:
        """Days since the last trial; None before the first."""
        return (self.today - max(d.day for d in self.done)).days if self.done else None

    def load(self, days: int) -> Load:
        """What was trained in the last so many days, today included."""
        since = self.today - timedelta(days=days - 1)
        minutes: dict[date, float] = {}
        for done in self.done:
            if since <= done.day <= self.today:
                minutes[done.day] = minutes.get(done.day, 0.0) + done.seconds / 60.0
        return Load(len(minutes), sum(minutes.values()), max(minutes.values(), default=0.0))

    def climbs(self) -> list[Climb]:
        """The ladders climbed in the last ``RECENT_DAYS``: counted trials on a higher rung.

        Only as far as the vaulter still stands there: whoever is on a lower rung by now, or is
        offered an easier one, has tried the higher one, and has not climbed to it.
        """
        since = self.today - timedelta(days=RECENT_DAYS - 1)
        before: dict[str, int] = {}
        now: dict[str, dict[int, Level]] = {}
        for done in self.done:
            if not done.counted or done.level_id not in self.rungs:
                continue
            rung, level = self.rungs[done.level_id]
            if done.day < since:
                before[level.game] = max(rung, before.get(level.game, -1))
            else:
                now.setdefault(level.game, {})[rung] = level
        stands = {s.level.game: s for s in self.steps if s.current is not None}
        found = []
        for game, reached in now.items():
            rung = max(reached)
            step = stands.get(game)
            if step is not None and step.current is not None:
                rung = self.rungs[step.current.id][0]
                if step.step is Step.DOWN or rung not in reached:
                    continue
            if game in before and rung > before[game]:
                found.append(Climb(rung - before[game], reached[rung]))
        return sorted(found, key=lambda climb: (-climb.rungs, climb.level.title))

    def changed(self, verdict: str) -> list[Row]:
        """The rows with this verdict, the surest change first."""
        found = [row for row in self.rows if row.change.verdict == verdict]
        return sorted(found, key=lambda row: -_size(row))


def rungs_of(levels: Sequence[Level]) -> dict[str, tuple[int, Level]]:
    """Of each level, by its id: on which rung of its game's ladder it stands, and itself."""
    return {
        level.id: (n, level)
        for game in {level.game for level in levels}
        for n, level in enumerate(path_of(levels, game))
    }


def _size(row: Row) -> float:
    """A change in units of half its interval: how far beyond chance."""
    c = row.change
    half = (c.difference_high - c.difference_low) / 2.0
    return abs(c.difference) / half if half > 0.0 else 0.0


#: What the table says for each.
WORDS: Final = {
    Word.MUCH: say("too much"),
    Word.BACK: say("fell back"),
    Word.STEP: say("step due"),
    Word.STUCK: say("stuck"),
    Word.MOVES: say("moves"),
    Word.STEADY: say("steady"),
    Word.GONE: say("not here"),
    Word.NEW: say("new"),
}
#: The squad's words as rules, a sentence each, in the order in which they are tried.
RULES: Final = (
    say("new: no trial yet."),
    say(
        "too much: over {minutes:.0f} min on one of the last {week} days, or more than {days} days"
        " of them; more than studies trained with, no limit of what is safe.",
        minutes=SESSION_MINUTES[1],
        week=_WEEK,
        days=WEEK_DAYS[1],
    ),
    say("not here: no trial for {days} days.", days=GONE_DAYS),
    say("fell back: a real change for the worse and none for the better, on equal terms."),
    say("step due: a ladder says one up, or offers an easier level."),
    say(
        "moves: a real change for the better, or a rung up a ladder within {days} days.",
        days=RECENT_DAYS,
    ),
    say(
        "stuck: trained on {least} days of the last {days}, and neither.",
        least=STUCK_TRAINING_DAYS,
        days=RECENT_DAYS,
    ),
    say("steady: none of these; trained on fewer days than that."),
)


class Told(NamedTuple):
    """A vaulter's line in the squad's table: the word, and why, in a few words."""

    word: Word
    why: str


def told(about: About) -> Told:
    """The word for one vaulter: the first of ``RULES`` that holds."""
    since = about.days_since
    if since is None:
        return Told(Word.NEW, say("No trial yet"))
    week = about.load(_WEEK)
    if week.fullest > SESSION_MINUTES[1]:
        return Told(Word.MUCH, say("{minutes:.0f} min on one day", minutes=week.fullest))
    if week.days > WEEK_DAYS[1]:
        return Told(Word.MUCH, say("{days} days in one week", days=week.days))
    if since >= GONE_DAYS:
        return Told(Word.GONE, say("No trial for {days} days", days=since))
    better, worse = about.changed(REAL_BETTER), about.changed(REAL_WORSE)
    if worse and not better:
        return Told(Word.BACK, change_words(worse[0]))
    steps = [s for s in about.steps if s.step in (Step.UP, Step.DOWN)]
    if steps:
        steps.sort(key=lambda s: s.step is not Step.UP)
        up, level = steps[0].step is Step.UP, steps[0].level
        if needs_spotter(level):
            why = say(
                "up: {level}, with a spotter" if up else "easier: {level}, with a spotter",
                level=level.title,
            )
        else:
            why = say("up: {level}" if up else "easier: {level}", level=level.title)
        return Told(Word.STEP, why)
    climbs = about.climbs()
    if better:
        return Told(Word.MOVES, change_words(better[0]))
    if climbs:
        return Told(Word.MOVES, say("climbed to {level}", level=climbs[0].level.title))
    recent = about.load(RECENT_DAYS)
    if recent.days >= STUCK_TRAINING_DAYS:
        return Told(
            Word.STUCK,
            say("no change shown on {days} days", days=recent.days),
        )
    return Told(Word.STEADY, say("{days} in four weeks", days=counted(recent.days, "day")))


#: The usual measures in a coach's words.
MEASURE_WORDS: Final = {
    "mark": say("mark"),
    "mean_speed_mm_s": say("sway speed"),
    "time_in_band_percent": say("time evenly on the soles"),
    "ellipse_area_mm2": say("sway area"),
    "toe_share_percent": say("weight on the toes"),
    "right_share_percent": say("weight on the right foot"),
}


def measure_words(measure: str) -> str:
    """A measure in a coach's words; its key where it has none."""
    return MEASURE_WORDS.get(measure, Name(measure))


def amount(value: float, unit: str) -> str:
    """A value and its unit, with as many digits as it deserves.

    >>> amount(7.84, "of 10"), amount(12.4, "mm/s"), amount(311.6, "mm²"), amount(51.7, "%")
    ('7.8', '12 mm/s', '312 mm²', '52 %')
    """
    whole = unit != "of 10" and abs(value) >= 10.0
    if unit in ("", "of 10"):
        return say("{value:.0f}" if whole else "{value:.1f}", value=value)
    return say("{value:.0f} {unit}" if whole else "{value:.1f} {unit}", value=value, unit=unit)


def change_words(row: Row) -> str:
    """From what to what a measure changed."""
    return say(
        "{measure} from {before} to {latest}",
        measure=measure_words(row.measure),
        # The unit once is enough.
        before=amount(row.change.before, row.unit if row.unit == "of 10" else ""),
        latest=amount(row.change.latest, row.unit),
    )


_GAME_WORDS: Final = {
    "millpond": say("Millpond"),
    "picnic": say("Picnic"),
    "grooming": say("Grooming"),
    "well": say("Well"),
    "roost": say("Roost"),
    "echo": say("Echo"),
    "tray": say("Tray"),
    "ribbon": say("Ribbon"),
    "four-strides": say("Four strides"),
}
#: What a trial gave the vaulter to go by; with everything nothing is said.
_FEEDBACK_WORDS: Final = {
    "none": say("without the picture"),
    "sound": say("by sound alone"),
    "bandwidth": say("picture only outside the band"),
}


def where_words(row: Row) -> str:
    """On which game, base, stance, with which eyes, and without what."""
    terms = row.task.terms
    game = game_of(row)
    where = say(
        "{game}: {base}, eyes {eyes}"
        if terms.stance == STANCES[0]
        else "{game}: {base}, {stance}, eyes {eyes}",
        game=_GAME_WORDS.get(game, Name(game)),
        base=terms.base,
        stance=terms.stance,
        eyes=terms.eyes,
    )
    without = _FEEDBACK_WORDS.get(terms.feedback)
    return where if without is None else say("{where}, {how}", where=where, how=without)


def game_of(row: Row) -> str:
    """The game's name in a row's task, where it stands first.

    >>> "four-strides (tempo 90), toe share 30-55 %".split(" (")[0].split(",")[0]
    'four-strides'
    """
    return row.task.task.split(" (")[0].split(",")[0]
