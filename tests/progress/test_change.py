"""The verdict: against Student's own test, against simulation, and where it must refuse."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from swaytrainer.errors import SwaytrainerError
from swaytrainer.progress.change import (
    NOT_ENOUGH,
    ORDINARY,
    REAL,
    REAL_BETTER,
    REAL_WORSE,
    SQUAD_DF,
    alpha_of_look,
    change,
    mdc95_of_plan,
    pooled,
)
from swaytrainer.progress.days import NO_SCATTER, DatedValue, History, Scatter, history
from swaytrainer.progress.senses import SENSES, Sense, sense_of
from swaytrainer.sway.table import FOOT_MEASURES, MEASURES
from swaytrainer.training.tasks.catalogue import KINDS, markable
from swaytrainer.training.tasks.task import Markable

LESS, MORE, NEITHER = Sense("less", False), Sense("more", False), Sense("neither", False)
LOG = Sense("less", True)


def days_of(means: list[float], log: bool = False, trials: int = 1) -> History:
    return history([DatedValue(2 * n, v) for n, v in enumerate(means) for _ in range(trials)], log)


def noisy(seed: int, days: int, trials: int = 3, sd: float = 1.0) -> History:
    rng = np.random.default_rng(seed)
    return history(
        [
            DatedValue(n, float(10 + day + sd * rng.normal()))
            for n, day in enumerate(rng.normal(size=days))
            for _ in range(trials)
        ],
        log=False,
    )


def test_without_a_squad_it_is_students_test_of_the_day_means() -> None:
    """Same difference, interval and threshold as scipy.stats.ttest_ind."""
    own = noisy(4, 8, trials=3, sd=0.01)  # trials alone explain nothing: no floor at work
    found = change(own, (), MORE, block_days=4)
    first, last = ([d.mean for d in part] for part in (own.days[:4], own.days[4:]))
    test = stats.ttest_ind(last, first)
    interval = test.confidence_interval(0.95)
    assert found.spread is not None
    assert (found.spread.df, found.look) == (6, 1)
    step = found.latest - found.before
    assert step == pytest.approx(float(np.mean(last) - np.mean(first)), rel=1e-12)
    assert found.difference_low == pytest.approx(interval.low, rel=1e-9)
    assert found.difference_high == pytest.approx(interval.high, rel=1e-9)
    error = step / test.statistic
    assert found.mdc95_rise == pytest.approx(error * stats.t.ppf(0.975, 6), rel=1e-9)
    assert found.mdc95_fall == pytest.approx(found.mdc95_rise, rel=1e-9)
    assert found.counts_above - found.before == pytest.approx(
        error * stats.t.ppf(1 - 0.005, 6), rel=1e-9
    )
    # An ordinary day: the prediction interval of one more day, from the first block's mean.
    sd = error / math.sqrt(0.5)
    half = stats.t.ppf(0.975, 6) * sd * math.sqrt(1.25)
    assert found.ordinary_high - found.ordinary_low == pytest.approx(2 * half, rel=1e-9)


def test_on_the_log_scale_it_is_the_same_of_logarithms() -> None:
    raw = [10.0, 11.0, 12.5, 8.0, 7.5, 8.2]
    found = change(days_of(raw, log=True), (), LOG)
    logs = change(days_of([math.log(v) for v in raw]), (), LESS)
    assert found.before == pytest.approx(stats.gmean(raw[:3]))
    assert math.log(found.counts_below) == pytest.approx(logs.counts_below)
    assert math.log(found.counts_above) == pytest.approx(logs.counts_above)
    assert found.mdc95_fall < found.mdc95_rise  # halving is as much as doubling
    assert found.in_percent
    assert found.difference == pytest.approx(100 * (found.latest / found.before - 1))
    assert found.verdict == logs.verdict


def test_which_way_is_better() -> None:
    fall, rise = days_of([10, 10.1, 9.9, 5, 5.1, 4.9]), days_of([5, 5.1, 4.9, 10, 10.1, 9.9])
    assert change(fall, (), LESS).verdict == REAL_BETTER
    assert change(rise, (), LESS).verdict == REAL_WORSE
    assert change(fall, (), MORE).verdict == REAL_WORSE
    assert change(rise, (), MORE).verdict == REAL_BETTER
    assert change(rise, (), NEITHER).verdict == REAL
    assert change(days_of([10, 11, 9, 10.5, 9.5, 10.2]), (), LESS).verdict == ORDINARY


def test_the_squad_counts_with_its_degrees_of_freedom_and_not_more() -> None:
    own, squad = Scatter(8.0, 4, 4.0, 0.0, 0), Scatter(60.0, 20, 20.0, 0.0, 0)
    spread = pooled(own, squad, 1.0)
    # s² = 2 with 4, s0² = 3 with 6 of its 20.
    assert spread.day_mean_sd**2 == pytest.approx((4 * 2 + SQUAD_DF * 3) / (4 + SQUAD_DF))
    assert (spread.df, spread.own_df, spread.squad_df) == (10, 4, 6)
    few = pooled(own, Scatter(9.0, 3, 3.0, 0.0, 0), 1.0)
    assert (few.df, few.day_mean_sd**2) == (7, pytest.approx((8 + 9) / 7))
    # All known from the squad, and nothing known at all.
    assert pooled(NO_SCATTER, squad, 1.0).day_mean_sd == pytest.approx(math.sqrt(3))
    assert math.isnan(pooled(NO_SCATTER, NO_SCATTER, 1.0).day_mean_sd)


def test_days_of_many_trials_are_put_to_the_compared_number() -> None:
    """Own days of one trial, the squad's of four; trial variance 4, day variance 1."""
    own, squad = Scatter(0.0, 0, 0.0, 0.0, 0), Scatter(2.0 * 30, 30, 30 / 4, 4.0 * 90, 90)
    assert pooled(own, squad, 1.0).day_mean_sd == pytest.approx(math.sqrt(1 + 4))
    assert pooled(own, squad, 0.25).day_mean_sd == pytest.approx(math.sqrt(1 + 1))
    assert pooled(own, squad, 0.25).day_sd == pytest.approx(1.0)
    assert pooled(own, squad, 0.25).trial_sd == pytest.approx(2.0)


def test_no_day_mean_scatters_less_than_its_trials_make_it() -> None:
    lucky = Scatter(0.001, 4, 4 / 3, 30.0, 12)
    spread = pooled(lucky, NO_SCATTER, 1 / 3)
    assert spread.day_mean_sd == pytest.approx(math.sqrt(2.5 / 3))
    assert spread.day_sd == 0.0


def test_the_squad_makes_a_verdict_possible_and_its_training_does_not_spoil_it() -> None:
    own = days_of([10.0, 8.0])
    assert change(own, (), LESS, block_days=1).verdict == NOT_ENOUGH
    rng = np.random.default_rng(1)
    trained = [days_of([float(20 - n + 0.2 * rng.normal()) for n in range(8)]) for _ in range(3)]
    found = change(own, trained, LESS, block_days=1)
    assert found.spread is not None
    assert (found.verdict, found.spread.own_df, found.spread.squad_df) == (REAL_BETTER, 0, 6)
    assert found.spread.day_mean_sd < 0.4
    assert "100 % from the squad's" in found.why


def test_the_newest_full_block_counts_and_the_days_between_tell_the_scatter() -> None:
    means = [10.0, 11.0, 9.0, 4.0, 4.0, 4.0, 10.0, 11.0, 9.0, 1.0]
    found = change(days_of(means), (), LESS)
    assert (found.look, found.days_missing, found.latest) == (2, 2, pytest.approx(10.0))
    assert found.spread is not None
    assert found.spread.own_df == 2 + 2 + 1
    assert found.verdict == ORDINARY
    assert [change(days_of(means[:n]), (), LESS).days_missing for n in (0, 5, 6, 8)] == [6, 1, 3, 1]


@pytest.mark.parametrize("days", range(6))
def test_with_less_than_two_blocks_there_is_no_answer(days: int) -> None:
    found = change(days_of([10.0 + n for n in range(days)]), (), LESS)
    assert found.verdict == NOT_ENOUGH
    assert f"there are {days}" in found.why
    assert math.isnan(found.latest)
    assert math.isnan(found.mean) == (days == 0)


def test_ten_trials_of_one_day_are_one_day() -> None:
    assert change(days_of([10.0], trials=10), (), LESS).verdict == NOT_ENOUGH
    # Trials copied tenfold tell no more about days.
    once, tenfold = (change(days_of([10, 11, 9, 12, 10, 11], trials=k), (), LESS) for k in (1, 10))
    assert once.counts_below == pytest.approx(tenfold.counts_below)


def test_days_that_are_all_alike() -> None:
    found = change(days_of([100.0] * 6), (), MORE)
    assert found.verdict == ORDINARY
    assert "alike" in found.why
    assert math.isnan(found.counts_above)
    assert change(days_of([100.0] * 3 + [90.0] * 3), (), MORE).verdict == NOT_ENOUGH
    # Rounding is no scatter.
    rounded = [0.1 + 0.2, 0.3, 0.3, 0.3 + 1e-5, 0.1 + 0.2 + 1e-5, 0.3 + 1e-5]
    for log in (False, True):
        found = change(days_of(rounded, log), (), Sense("less", log))
        assert (found.verdict, math.isnan(found.counts_above)) == (NOT_ENOUGH, True)


def test_a_measure_with_bounds_is_not_asked_to_leave_them() -> None:
    bounded = Sense("more", False, 0.0, 100.0)
    means = [96.0, 99.0, 98.0, 99.0, 97.0, 98.5]
    free, held = change(days_of(means), (), MORE), change(days_of(means), (), bounded)
    assert free.counts_above > 100.0
    assert math.isnan(held.counts_above)
    assert held.counts_below == free.counts_below
    assert (held.ordinary_high, free.ordinary_high > 100.0) == (100.0, True)
    assert "only below" in held.why
    assert " or above" not in held.why
    wild = change(days_of([0.0, 100.0, 50.0, 100.0, 0.0, 40.0]), (), bounded)
    assert "no change within its bounds" in wild.why


def test_bad_arguments_are_refused() -> None:
    with pytest.raises(SwaytrainerError, match="block of 0 days"):
        change(days_of([1.0]), (), LESS, block_days=0)
    with pytest.raises(SwaytrainerError, match="same scale"):
        change(days_of([1.0]), (), LOG)
    with pytest.raises(SwaytrainerError, match="same scale"):
        change(days_of([1.0]), [days_of([1.0], log=True)], LESS)
    with pytest.raises(SwaytrainerError, match="look number 0"):
        alpha_of_look(0)


def test_the_looks_share_the_false_alarms() -> None:
    assert sum(alpha_of_look(n) for n in range(1, 5)) == pytest.approx(0.04)
    # The rest telescopes: 0.05·(1/5 - 1/(n+1)).
    assert sum(alpha_of_look(n) for n in range(5, 2001)) == pytest.approx(0.05 * (0.2 - 1 / 2001))
    alphas = [alpha_of_look(n) for n in range(1, 30)]
    assert alphas == sorted(alphas, reverse=True)


def test_the_mdc_of_a_plan_holds_for_simulated_unchanged_vaulters() -> None:
    rng = np.random.default_rng(8)
    day_sd, trial_sd, days, trials, count = 0.08, 0.11, 3, 4, 40_000

    def block() -> np.ndarray:
        day = rng.normal(0, day_sd, (count, days, 1))
        return np.asarray((day + rng.normal(0, trial_sd, (count, days, trials))).mean(axis=(1, 2)))

    beyond = np.abs(block() - block()) > mdc95_of_plan(day_sd, trial_sd, days, trials)
    assert float(beyond.mean()) == pytest.approx(0.05, abs=0.0045)  # four standard deviations
    assert mdc95_of_plan(0.0, 0.11, 1, 1) == pytest.approx(1.96 * math.sqrt(2) * 0.11)
    assert all(
        math.isnan(mdc95_of_plan(*bad))
        for bad in ((-1, 1, 1, 1), (1, -1, 1, 1), (1, 1, 0, 1), (1, 1, 1, 0), (math.nan, 1, 1, 1))
    )


@given(
    st.lists(st.floats(5.0, 20.0).map(lambda v: round(v, 2)), min_size=6, max_size=14),
    st.floats(0.01, 100.0),
)
def test_the_unit_does_not_matter(means: list[float], unit: float) -> None:
    for log in (False, True):
        sense = Sense("less", log)
        found = change(days_of(means, log), (), sense)
        other = change(days_of([unit * m for m in means], log), (), sense)
        if found.spread is not None and found.spread.day_mean_sd < 1e-3:
            continue  # alike but for rounding
        if abs(found.latest / found.counts_below - 1) < 1e-9:
            continue
        assert found.verdict == other.verdict
        same = found.difference if log else unit * found.difference
        assert other.difference == pytest.approx(same, rel=1e-6, abs=1e-6 * max(unit, 1.0))


@given(st.lists(st.floats(5.0, 20.0), min_size=6, max_size=6), st.floats(0.0, 30.0))
def test_a_larger_change_never_counts_less(means: list[float], more: float) -> None:
    base = [*means[:3], *(m - means[3] + means[0] for m in means[3:])]
    small, large = (
        change(days_of([*base[:3], *(m + s for m in base[3:])]), (), MORE)
        for s in (more, 2 * more + 0.1)
    )
    assert small.spread is not None
    if small.spread.day_mean_sd < 1e-6:
        return  # alike but for rounding
    if small.verdict == REAL_BETTER:
        assert large.verdict == REAL_BETTER


def test_a_games_own_measure_is_read_as_the_game_says(monkeypatch: pytest.MonkeyPatch) -> None:
    own = {"made_up": Markable("s", False, "Made up")}
    kind = replace(KINDS["millpond"], name="made", measures=own)
    monkeypatch.setitem(KINDS, "made", kind)
    assert sense_of("made_up") == Sense("less", False)


def test_every_measure_has_a_sense_but_the_angle_and_levels_agree_on_what_is_better() -> None:
    assert {*MEASURES, *FOOT_MEASURES, "mark"} - set(SENSES) == {"ellipse_angle_deg"}
    for game in KINDS:
        for key, about in markable(game).items():
            assert sense_of(key).better == ("more" if about.more_is_better else "less")
    assert sense_of("of another room") == Sense("neither", False)
    assert not any(sense.log for key, sense in SENSES.items() if key.endswith("percent"))
