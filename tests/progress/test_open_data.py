"""Repeatability of real people's trials: the figures, the scale, and how much people differ.

Results of Santos & Duarte 2016, PeerJ 4:e2648, subjects 1 to 80 under 60 years with three trials.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.special import polygamma
from scipy.stats import spearmanr

from swaytrainer.progress.change import SQUAD_DF
from swaytrainer.progress.reliability import complete, reliability
from tests import open_data

pytestmark = pytest.mark.open_data

CONDITIONS = [(surface, vision) for surface in ("firm", "foam") for vision in ("open", "closed")]
MEASURES = ("cop_speed_cm_s", "cop_area_cm2", "cop_mean_frequency_hz")


def table(measure: str, surface: str, vision: str) -> np.ndarray:
    subjects: dict[str, list[float]] = {}
    for row in open_data.published().values():
        if (row["surface"], row["vision"]) == (surface, vision) and float(row["age_years"]) < 60:
            subjects.setdefault(row["subject"], []).append(float(row[measure]))
    return np.array(complete(list(subjects.values()), 3))


#: n, ICC(C,1), ICC(A,1), ICC(C,3), SEM, MDC95 in percent, as the README of the data gives them.
STATED = {
    ("cop_speed_cm_s", "firm", "open"): (49, 0.9103, 0.9089, 0.9682, 0.1045, 32),
    ("cop_speed_cm_s", "firm", "closed"): (49, 0.9049, 0.8924, 0.9661, 0.1262, 35),
    ("cop_speed_cm_s", "foam", "open"): (49, 0.9179, 0.9137, 0.9710, 0.2277, 26),
    ("cop_speed_cm_s", "foam", "closed"): (48, 0.9017, 0.8871, 0.9649, 0.3555, 30),
    ("cop_area_cm2", "firm", "open"): (49, 0.6146, 0.6125, 0.8271, 1.8435, 188),
    # 192.63: the README of the data prints 192 here, the only figure of it that is not rounded.
    ("cop_area_cm2", "firm", "closed"): (49, 0.4978, 0.4970, 0.7483, 2.2402, 193),
    ("cop_area_cm2", "foam", "open"): (49, 0.7010, 0.7040, 0.8755, 3.5599, 75),
    ("cop_area_cm2", "foam", "closed"): (48, 0.8415, 0.8359, 0.9409, 2.8893, 50),
}


@pytest.mark.parametrize(("which", "stated"), STATED.items(), ids=lambda v: " ".join(map(str, v)))
def test_the_stated_repeatability(which: tuple[str, str, str], stated: tuple[float, ...]) -> None:
    r = reliability(table(*which))
    found = (r.subjects, r.icc_c_1.value, r.icc_a_1.value, r.icc_c_k.value, r.sem)
    assert found == pytest.approx(stated[:5], abs=5.1e-5)
    assert round(r.mdc95_percent) == stated[5]


@pytest.mark.parametrize("measure", MEASURES)
@pytest.mark.parametrize(("surface", "vision"), CONDITIONS)
def test_scatter_grows_with_the_value_and_that_of_logarithms_does_not(
    measure: str, surface: str, vision: str
) -> None:
    """Why these are compared as logarithms (senses.py quotes the bounds)."""
    t = table(measure, surface, vision)
    plain = spearmanr(t.mean(axis=1), t.std(axis=1, ddof=1)).statistic
    logs = np.log(t)
    log = spearmanr(logs.mean(axis=1), logs.std(axis=1, ddof=1)).statistic
    assert 0.255 < plain < 0.705
    assert -0.285 < log < 0.105


def test_how_many_degrees_of_freedom_the_squad_counts_for() -> None:
    """Smyth 2004, section 6.2: trigamma(d0/2) is the variance of log s² beyond trigamma(d/2)."""
    beyond = []
    for surface, vision in CONDITIONS:
        z = np.log(np.log(table("cop_speed_cm_s", surface, vision)).var(axis=1, ddof=1))
        beyond.append(z.var(ddof=1) - polygamma(1, 1.0))
    mean = float(np.mean(beyond))
    grid = np.linspace(0.5, 100.0, 20_000)
    prior_df = float(grid[np.argmin(np.abs(polygamma(1, grid / 2.0) - mean))])
    assert prior_df == pytest.approx(SQUAD_DF, abs=1.0)


def test_the_scatter_that_the_simulation_takes() -> None:
    from tests.progress.verdicts import AREA_TRIAL_SD, SPEED_TRIAL_SD

    for measure, taken in (("cop_speed_cm_s", SPEED_TRIAL_SD), ("cop_area_cm2", AREA_TRIAL_SD)):
        within = [
            math.sqrt(np.log(table(measure, *c)).var(axis=1, ddof=1).mean()) for c in CONDITIONS
        ]
        assert float(np.median(within)) == pytest.approx(taken, abs=0.01)
