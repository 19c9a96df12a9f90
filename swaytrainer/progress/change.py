"""Is a vaulter's change real, or just another day?

The model: a trial's value, or its logarithm, is the vaulter's own level, plus what the day brings,
plus what the trial brings. The days are cut into blocks; the newest full block is held against the
first one. What the difference of two block means may be by chance follows from how much *day means*
scatter: the usual 1.96·√2·SEM of two single trials is too large where trials are many, and far too
small where days differ.

How much the vaulter's days scatter is known badly from a few days, so the squad's days help. Its
pooled variance s₀² counts as ``SQUAD_DF`` degrees of freedom beside the vaulter's own s² with d::

    s̃² = (d·s² + d₀·s₀²) / (d + d₀),    judged with Student's t of d + d₀ degrees of freedom

the moderated t of Smyth, Stat Appl Genet Mol Biol 2004;3:3. With each day of her own the vaulter's
figure weighs more.

Whoever looks often finds something in the end. Each full block is one look, and the looks share the
5 % of false alarms among them (``alpha_of_look``): by Bonferroni's inequality an unchanged vaulter
is called changed with at most 5 % over all looks together, however many. (For each measure by
itself; who looks at twenty measures finds one changed.)
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache, partial
from typing import Final, NamedTuple

from swaytrainer.errors import SwaytrainerError
from swaytrainer.progress.days import (
    NO_SCATTER,
    Day,
    History,
    Scatter,
    scatter_about_line,
    scatter_about_mean,
)
from swaytrainer.progress.reliability import Z_95
from swaytrainer.progress.senses import Sense
from swaytrainer.words import say

#: The squad's scatter counts as so many degrees of freedom, or as many as it has if it has fewer.
#: From how much people differ in their scatter: Smyth's moment estimate over the within-session
#: log variances of speed in the open standing trials (tests/progress/test_open_data.py). Between
#: days nobody has published it: that people differ there as much as here is an assumption.
SQUAD_DF: Final = 6
#: Of all looks together.
FALSE_ALARMS: Final = 0.05
#: The looks of a season that share four fifths of it evenly; later ones share the rest.
_SEASON_LOOKS: Final = 4
#: With fewer degrees of freedom Student's t says nothing that a coach could use.
_LEAST_DF: Final = 2
#: Days that scatter less than this share of their value are copies but for rounding.
_ALIKE: Final = 1e-9

_SCALES: Final = say("The histories are not on the same scale.")
_GATHER: Final = say("Gather all with the measure's sense.")
REAL_BETTER: Final = say("real change: better")
REAL_WORSE: Final = say("real change: worse")
REAL: Final = say("real change")
ORDINARY: Final = say("within the ordinary day-to-day range")
NOT_ENOUGH: Final = say("not enough days")


class Spread(NamedTuple):
    """How much a vaulter's days scatter, on the scale of comparison (logarithms: about shares).

    Attributes:
        day_mean_sd: of a day's mean.
        df: degrees of freedom behind it; of them from the vaulter's own days and from the squad:
        own_df, squad_df.
        trial_sd: of a trial about its day's mean; NaN if no day has two.
        day_sd: what the day alone brings, zero where the trials explain all; NaN if unknown.
    """

    day_mean_sd: float
    df: float
    own_df: int
    squad_df: int
    trial_sd: float
    day_sd: float


@dataclass(frozen=True, slots=True)
class Change:
    """The answer for one vaulter and one measure, on equal terms. NaN where not known.

    Attributes:
        verdict: one of the five texts above.
        days, trials: how many there are.
        block_days: days in a block; ``days_missing`` until the next full block.
        look: which full block after the first one is judged, from 1; 0 without.
        mean: of all days, each counting once; like all means geometric on the log scale.
        before, latest: of the first and the newest full block, in the measure's unit.
        difference: from ``before`` to ``latest``: in percent if ``in_percent`` (the log scale), in
            the unit otherwise, as in a ``Trend``.
        difference_low, difference_high: its 95 % interval, of this look alone.
        in_percent: which of the two.
        mdc95_fall, mdc95_rise: the least difference of two such block means beyond 95 % of chance,
            in the unit: down and up (on the log scale they differ).
        counts_below, counts_above: outside these the newest block would be called a real change;
            wider than the MDC95, since the looks share the false alarms. NaN where the measure's
            bounds leave no room for it.
        ordinary_low, ordinary_high: where 95 % of single days of an unchanged vaulter lie, cut at
            the measure's bounds.
        spread: what all this is judged by.
        unit: of the measure, for the words.
        unjudged: why there is nothing to judge by, a sentence; empty where there is.
    """

    verdict: str
    days: int
    trials: int
    block_days: int
    days_missing: int
    look: int = 0
    mean: float = math.nan
    before: float = math.nan
    latest: float = math.nan
    difference: float = math.nan
    difference_low: float = math.nan
    difference_high: float = math.nan
    in_percent: bool = False
    mdc95_fall: float = math.nan
    mdc95_rise: float = math.nan
    counts_below: float = math.nan
    counts_above: float = math.nan
    ordinary_low: float = math.nan
    ordinary_high: float = math.nan
    spread: Spread | None = None
    unit: str = ""
    unjudged: str = ""

    @property
    def why(self) -> str:
        """The verdict in a sentence or two, with the numbers.

        Made when it is asked for: the squad's table needs none.
        """
        if self.unjudged or self.spread is None:
            return self.unjudged
        many = (
            say("{days} days each", days=self.block_days)
            if self.block_days > 1
            else say("a day each")
        )
        latest = (
            say("{value:.3g} {unit}", value=self.latest, unit=self.unit)
            if self.unit
            else say("{value:.3g}", value=self.latest)
        )
        return say(
            "From {before:.3g} to {latest}, means of {many}; {limits} {source}",
            before=self.before,
            latest=latest,
            many=many,
            limits=_limit_words(self.counts_below, self.counts_above),
            source=_source_words(self.spread),
        )


def alpha_of_look(look: int) -> float:
    """The share of the 5 % that a look may use: 1 % each for four, then 5 %/(n(n+1)); sum 5 %.

    >>> [alpha_of_look(n) for n in (1, 4)], round(alpha_of_look(5), 6)
    ([0.01, 0.01], 0.001667)
    >>> round(sum(alpha_of_look(n) for n in range(1, 10_000)), 4)
    0.05
    """
    if look < 1:
        raise SwaytrainerError(
            say("There is no look number {look}.", look=look), say("Count the looks from 1.")
        )
    if look <= _SEASON_LOOKS:
        return FALSE_ALARMS / (_SEASON_LOOKS + 1)
    return FALSE_ALARMS / (look * (look + 1))


def mdc95_of_plan(day_sd: float, trial_sd: float, days: int, trials: int) -> float:
    """The MDC95 of a plan: means of ``trials`` trials a day on ``days`` days, then as many again.

    1.96·√(2·(σ_day² + σ_trial²/k)/d): more trials cannot help against days that differ.
    With one day, one trial and no difference of days it is 1.96·√2·SEM.

    Returns:
        In the unit of the SDs; NaN for negative ones or for no days or trials.

    >>> [round(mdc95_of_plan(0.08, 0.11, *plan), 3) for plan in ((1, 3), (1, 12), (4, 3))]
    [0.283, 0.239, 0.142]
    """
    if not (day_sd >= 0.0 and trial_sd >= 0.0 and days >= 1 and trials >= 1):
        return math.nan
    return Z_95 * math.sqrt(2.0 * (day_sd**2 + trial_sd**2 / trials) / days)


def change(
    own: History, squad: Sequence[History], sense: Sense, block_days: int = 3, unit: str = ""
) -> Change:
    """Hold the newest full block of days against the first.

    Days between the two only tell how much days scatter, and days after the newest full block wait
    for theirs. The squad's days are taken about each one's own straight line, so that a squad that
    trains does not look unsteady for it.

    Args:
        own: the vaulter's days, all on equal terms.
        squad: the others' on the same terms and the same scale; may be empty.
        sense: which way is better.
        block_days: days in a block, at least 1; with 1 all scatter comes from the squad.
        unit: for the words.

    Raises:
        SwaytrainerError: no days in a block, or histories on different scales.

    >>> from swaytrainer.progress.days import DatedValue, history
    >>> speed = (11.8, 12.4, 12.0, 8.9, 9.2, 9.0)
    >>> own = history((DatedValue(day, v) for day, v in enumerate(speed)), log=True)
    >>> change(own, (), Sense("less", log=True)).verdict
    'real change: better'
    """
    if any(other.log != own.log for other in squad):
        raise SwaytrainerError(_SCALES, _GATHER)
    others = NO_SCATTER
    for other in squad:
        others = others.plus(scatter_about_line(other.days))
    return change_beside(own, others, sense, block_days, unit)


def change_beside(
    own: History, others: Scatter, sense: Sense, block_days: int = 3, unit: str = ""
) -> Change:
    """``change`` with the squad's scatter known: reckoned once, it serves the whole squad.

    Args:
        own, sense, block_days, unit: as for ``change``.
        others: the sum of the others' ``scatter_about_line``.

    Raises:
        SwaytrainerError: no days in a block, or the history is not on the measure's scale.
    """
    if block_days < 1:
        raise SwaytrainerError(
            say("A block of {days} days.", days=block_days), say("Take at least one day.")
        )
    if own.log != sense.log:
        raise SwaytrainerError(_SCALES, _GATHER)
    days = own.days
    blocks = len(days) // block_days
    missing = block_days * max(2, blocks + 1) - len(days)
    mean = own.unit(_mean_on_scale(days)) if days else math.nan
    found = partial(
        Change, days=len(days), trials=own.trials, block_days=block_days, days_missing=missing,
        mean=mean, in_percent=own.log, unit=unit,
    )  # fmt: skip
    if blocks < 2:
        need = say(
            "It takes {need} days with a counted trial; there are {days}.",
            need=2 * block_days,
            days=len(days),
        )
        return found(NOT_ENOUGH, unjudged=need)
    first, last = days[:block_days], days[(blocks - 1) * block_days : blocks * block_days]
    between = days[block_days : (blocks - 1) * block_days]
    own_scatter = scatter_about_mean(first).plus(scatter_about_mean(last))
    if len(between) >= 3:
        own_scatter = own_scatter.plus(scatter_about_line(between))
    spread = pooled(own_scatter, others, _per_trial(first + last))
    before, latest = _mean_on_scale(first), _mean_on_scale(last)
    found = partial(
        found, look=blocks - 1, before=own.unit(before), latest=own.unit(latest), spread=spread
    )
    if spread.df < _LEAST_DF:
        why = say(
            "Too few days to know how much days differ: take more days to a block, or wait until"
            " others of the squad have some on the same terms."
        )
        return found(NOT_ENOUGH, unjudged=why)
    step = latest - before
    alike = _ALIKE * (1.0 if own.log else max(abs(day.mean) for day in days))
    if spread.day_mean_sd <= alike:
        # A measure at its upper or lower end (always 100 %), or copies.
        return found(
            ORDINARY if abs(step) <= alike else NOT_ENOUGH,
            unjudged=say("The days of a block are all alike, so there is no scatter to judge by."),
        )
    error = spread.day_mean_sd * math.sqrt(2.0 / block_days)
    t95 = _student(spread.df, 0.975)
    needed = _student(spread.df, 1.0 - 0.5 * alpha_of_look(blocks - 1)) * error
    day_range = t95 * spread.day_mean_sd * math.sqrt(1.0 + 1.0 / block_days)
    difference, low, high = (
        100.0 * math.expm1(s) if own.log else s
        for s in (step, step - t95 * error, step + t95 * error)
    )
    verdict = ORDINARY
    if abs(step) > needed:
        verdict = {
            "neither": REAL,
            "less": REAL_BETTER if step < 0.0 else REAL_WORSE,
            "more": REAL_BETTER if step > 0.0 else REAL_WORSE,
        }[sense.better]
    below, above = own.unit(before - needed), own.unit(before + needed)
    return found(
        verdict,
        difference=difference,
        difference_low=low,
        difference_high=high,
        mdc95_fall=own.unit(before) - own.unit(before - t95 * error),
        mdc95_rise=own.unit(before + t95 * error) - own.unit(before),
        counts_below=below if below > sense.least else math.nan,
        counts_above=above if above < sense.most else math.nan,
        ordinary_low=max(own.unit(before - day_range), sense.least),
        ordinary_high=min(own.unit(before + day_range), sense.most),
    )


@lru_cache(maxsize=1024)
def _student(df: float, below: float) -> float:
    """Student's t with this share below it. A squad's vaulters have few different df."""
    from scipy.special import stdtrit  # scipy.stats would take a second more to load

    return float(stdtrit(df, below))


def _limit_words(below: float, above: float) -> str:
    if math.isnan(below) and math.isnan(above):
        return say("days differ so much that no change within its bounds would count.")
    if math.isnan(above):
        return say("only below {below:.3g} would it count as a change.", below=below)
    if math.isnan(below):
        return say("only above {above:.3g} would it count as a change.", above=above)
    return say(
        "only below {below:.3g} or above {above:.3g} would it count as a change.",
        below=below,
        above=above,
    )


def _source_words(spread: Spread) -> str:
    if not spread.squad_df:
        return say("How much days differ is from the vaulter's own days alone.")
    share = 100.0 * spread.own_df / spread.df
    return say(
        "How much days differ is {own:.0f} % from the vaulter's own days and {squad:.0f} % from"
        " the squad's.",
        own=share,
        squad=100.0 - share,
    )


def pooled(own: Scatter, squad: Scatter, per_trial: float) -> Spread:
    """The vaulter's scatter of day means, shrunk towards the squad's.

    Days with more trials scatter less; all are put to the compared days' number of trials first,
    with the variance of a trial about its day's mean. No day mean is taken to scatter less than its
    trials alone make it.

    Args:
        own, squad: how the days and trials of the vaulter and of the others scatter.
        per_trial: mean of 1/trials over the days that are compared.
    """
    trials_df = own.trial_df + squad.trial_df
    trial = (own.trial_squares + squad.trial_squares) / trials_df if trials_df else math.nan
    least = trial * per_trial if trials_df else 0.0

    def evened(scatter: Scatter) -> float:
        if not trials_df:
            return scatter.day_squares
        # Never below zero: the adjustment is an estimate.
        more = trial * (per_trial * scatter.day_df - scatter.per_trial)
        return max(scatter.day_squares + more, 0.0)

    squad_df = min(squad.day_df, SQUAD_DF)
    df = own.day_df + squad_df
    if df == 0:
        return Spread(math.nan, 0.0, 0, 0, _root(trial), math.nan)
    helped = squad_df * evened(squad) / squad.day_df if squad_df else 0.0
    variance = max((evened(own) + helped) / df, least)
    day = max(variance - least, 0.0) if trials_df else math.nan
    return Spread(math.sqrt(variance), float(df), own.day_df, squad_df, _root(trial), _root(day))


def _root(variance: float) -> float:
    return math.sqrt(variance) if variance >= 0.0 else math.nan


def _per_trial(days: Sequence[Day]) -> float:
    return sum([1.0 / day.trials for day in days]) / len(days)


def _mean_on_scale(days: Sequence[Day]) -> float:
    return math.fsum([day.mean for day in days]) / len(days)
