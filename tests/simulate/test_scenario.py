"""Scripts of what happens on the board, and the corner loads that they make."""

from __future__ import annotations

import itertools
import math
import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.simulate.athlete import ADULT, ATHLETES, JUNIOR, Athlete
from swaytrainer.simulate.body import (
    CALM,
    HEEL_HEAVY,
    RESTLESS,
    TOE_HEAVY,
    Eyes,
    Ground,
    StandingBody,
)
from swaytrainer.simulate.scenario import (
    Empty,
    LeanToes,
    Scenario,
    Stand,
    Step,
    StepOff,
    StepOn,
    Weight,
    corner_loads,
    demo_scenario,
    distribute,
)
from swaytrainer.sway.cop import Array, CellPlaces, cop_arrays

A_MM, B_MM = 220.0, 170.0
PLACES = CellPlaces.rectangle(A_MM, B_MM)
RATE_HZ = 100.0
WEIGHT_N = JUNIOR.mass_kg * 9.80665


def loads(*steps: Step, seed: int = 1, athlete: Athlete = JUNIOR) -> Array:
    return np.array(
        list(corner_loads(Scenario(steps), athlete, RATE_HZ, A_MM, B_MM, seed)), dtype=np.float64
    )


def cop(corners: Array) -> tuple[Array, Array, Array, Array]:
    return cop_arrays(corners, PLACES, 1e-6)


@given(
    force_n=st.floats(1.0, 3000.0),
    across=st.floats(-1.0, 1.0),
    along=st.floats(-1.0, 1.0),
)
def test_loads_have_the_force_and_the_cop_that_they_were_made_from(
    force_n: float, across: float, along: float
) -> None:
    corners = np.array([distribute(force_n, across * A_MM, along * B_MM, A_MM, B_MM)])
    force, x_mm, y_mm, twist_n = (float(v[0]) for v in cop(corners))
    assert force == pytest.approx(force_n, rel=1e-12)
    assert x_mm == pytest.approx(across * A_MM, abs=1e-9)
    assert y_mm == pytest.approx(along * B_MM, abs=1e-9)
    assert corners.min() >= -1e-9
    if abs(across) + abs(along) <= 1.0:
        assert twist_n == pytest.approx(0.0, abs=1e-9)
    else:  # one corner is lifted, so the load there is nothing
        assert corners.min() == pytest.approx(0.0, abs=1e-9)


def test_a_weight_on_a_corner_is_on_that_cell_alone() -> None:
    assert distribute(98.0, -A_MM, B_MM, A_MM, B_MM) == pytest.approx((98.0, 0.0, 0.0, 0.0))
    assert distribute(98.0, A_MM, -B_MM, A_MM, B_MM) == pytest.approx((0.0, 0.0, 0.0, 98.0))


@pytest.mark.parametrize(("x_mm", "y_mm"), [(221.0, 0.0), (0.0, -171.0)])
def test_a_weight_beside_the_cells_tips_the_board(x_mm: float, y_mm: float) -> None:
    with pytest.raises(ValueError, match="tip"):
        loads(Weight(10.0, x_mm, y_mm, 1.0))


def test_a_weight_lies_still_where_it_was_put() -> None:
    corners = loads(Empty(0.1), Weight(20.0, 150.0, -120.0, 0.2), Empty(0.1))
    force, x_mm, y_mm, _ = cop(corners[10:30])
    assert np.allclose(force, 20.0 * 9.80665)
    assert np.allclose(x_mm, 150.0)
    assert np.allclose(y_mm, -120.0)
    assert not corners[:10].any()
    assert not corners[30:].any()


def test_standing_loads_are_the_bodys_force_and_cop() -> None:
    corners = loads(Stand(5.0, CALM, Ground.COMPLIANT, Eyes.CLOSED), seed=77)
    body = StandingBody(
        JUNIOR, Ground.COMPLIANT, Eyes.CLOSED, CALM, random.Random(77).getrandbits(64)
    )
    states = np.array([body.step(1.0 / RATE_HZ) for _ in range(500)])
    force, x_mm, y_mm, twist_n = cop(corners)
    np.testing.assert_allclose(force, states[:, 0], rtol=1e-12)
    np.testing.assert_allclose(x_mm, states[:, 1], atol=1e-9)
    np.testing.assert_allclose(y_mm, states[:, 2], atol=1e-9)
    np.testing.assert_allclose(twist_n, 0.0, atol=1e-9)


def test_stepping_on_goes_from_one_foot_to_the_middle() -> None:
    corners = loads(Empty(0.5), StepOn(1.2), Stand(3.0))
    force, x_mm, _, _ = cop(corners)
    assert not corners[:51].any()
    stepping = force[50:170] / WEIGHT_N
    peak = int(np.argmax(stepping))
    assert np.all(np.diff(stepping[: peak + 1]) > 0.0)
    assert 1.03 < stepping[peak] < 1.10
    assert stepping[-1] == pytest.approx(1.0, abs=0.01)
    assert x_mm[55] == pytest.approx(-JUNIOR.stance_width_mm / 2)
    assert np.all(np.diff(x_mm[50:150])[1:] > -0.2)
    assert abs(x_mm[169]) < 12.0
    # No jump where standing begins.
    assert abs(force[170] - force[169]) < 0.01 * WEIGHT_N
    assert abs(x_mm[170] - x_mm[169]) < 1.0


def test_stepping_off_goes_from_the_middle_to_the_last_foot() -> None:
    corners = loads(Stand(3.0), StepOff(0.8), Empty(0.5))
    force, x_mm, _, _ = cop(corners)
    stepping = force[300:380] / WEIGHT_N
    assert abs(force[300] - force[299]) < 0.01 * WEIGHT_N
    peak = int(np.argmax(stepping))
    assert 1.0 < stepping[peak] < 1.08
    assert np.all(np.diff(stepping[max(peak, 20) :]) < 0.0)
    assert stepping[-1] < 0.05
    assert x_mm[379] == pytest.approx(JUNIOR.stance_width_mm / 2)
    assert not corners[380:].any()


def test_either_foot_can_go_first() -> None:
    left = loads(StepOn(1.0, "left"), Stand(0.1), StepOff(1.0, "left"))
    right = loads(StepOn(1.0, "right"), Stand(0.1), StepOff(1.0, "right"))
    for number in (5, 205):
        assert cop(left)[1][number] == pytest.approx(-JUNIOR.stance_width_mm / 2)
        assert cop(right)[1][number] == pytest.approx(JUNIOR.stance_width_mm / 2)


def test_leaning_and_standing_again() -> None:
    corners = loads(StepOn(), Stand(8.0), LeanToes(10.0, 70.0), Stand(10.0))
    _, _, y_mm, _ = cop(corners)
    share = np.array([JUNIOR.toe_share_percent(float(y), -120.0) for y in y_mm])
    assert 32.0 < share[120:920].mean() < 48.0
    assert 60.0 < share[1420:1920].mean() < 80.0
    assert 32.0 < share[2420:].mean() < 48.0


def test_manner_ground_and_eyes_hold_until_they_change() -> None:
    def speed(corners: Array) -> float:
        _, x_mm, y_mm, _ = cop(corners)
        return float(np.hypot(np.diff(x_mm), np.diff(y_mm)).mean()) * RATE_HZ

    corners = loads(
        Stand(15.0, RESTLESS, Ground.COMPLIANT, Eyes.CLOSED),
        Stand(15.0),
        Stand(15.0, CALM, Ground.FIRM, Eyes.OPEN),
        Stand(15.0, TOE_HEAVY),
        StepOff(1.0),
        StepOn(1.0),
        Stand(15.0),
        StepOff(1.0),
        StepOn(1.0),
        Stand(15.0, HEEL_HEAVY),
    )
    parts = [corners[n : n + 1500] for n in (0, 1500, 3000, 4500, 6200, 7900)]
    quick, quick_still, calm, _, toes, heels = parts
    assert speed(quick) > 25.0
    assert speed(quick_still) > 25.0
    assert speed(calm[200:]) < 10.0
    y_toes, y_heels = float(cop(toes)[2].mean()), float(cop(heels)[2].mean())
    assert JUNIOR.toe_share_percent(y_toes, -120.0) > 55.0
    assert JUNIOR.toe_share_percent(y_heels, -120.0) < 28.0


@pytest.mark.parametrize("rate_hz", [80.0, 93.7, 100.0])
def test_durations_are_exact_in_samples(rate_hz: float) -> None:
    steps = (Empty(0.333), StepOn(1.21), Stand(1.505), StepOff(0.77), Empty(0.4))
    made = np.array(list(corner_loads(Scenario(steps), ADULT, rate_hz, A_MM, B_MM, 5)))
    assert len(made) == round(math.fsum(s.seconds for s in steps) * rate_hz)
    loaded = np.flatnonzero(made.sum(axis=1))
    assert loaded[0] == round(0.333 * rate_hz) + 1  # the first sample of a step on bears nothing
    assert loaded[-1] == round((0.333 + 1.21 + 1.505 + 0.77) * rate_hz) - 1


def test_the_last_step_may_last_for_ever() -> None:
    for last, sum_n in ((Stand(math.inf), WEIGHT_N), (Empty(math.inf), 0.0)):
        scenario = Scenario((StepOn(1.0), last))
        endless = corner_loads(scenario, JUNIOR, RATE_HZ, A_MM, B_MM, 3)
        some = list(itertools.islice(endless, 500))
        assert scenario.seconds == math.inf
        assert len(some) == 500
        assert sum(some[-1]) == pytest.approx(sum_n, rel=0.01)


def test_one_seed_one_visit_and_every_trial_its_own() -> None:
    steps = (StepOn(), Stand(3.0), StepOff(), Empty(0.2), StepOn(), Stand(3.0))
    first, again, other = (loads(*steps, seed=s) for s in (6, 6, 7))
    assert np.array_equal(first, again)
    assert not np.allclose(first, other)
    assert not np.allclose(first[120:420], first[640:940])


def test_every_athlete_stays_within_the_cells() -> None:
    for athlete in ATHLETES:
        corners = loads(StepOn(), Stand(3.0), LeanToes(6.0), StepOff(), athlete=athlete)
        assert corners.min() >= 0.0
        assert cop(corners)[0].max() < 1.15 * athlete.mass_kg * 9.80665


def test_the_demo_is_empty_then_stands_long_enough() -> None:
    demo = demo_scenario(20.0, 2, 5.0, manner=CALM, ground=Ground.COMPLIANT)
    corners = np.array(list(corner_loads(demo, JUNIOR, RATE_HZ, A_MM, B_MM, 9)))
    force = corners.sum(axis=1)
    assert len(force) == round(demo.seconds * RATE_HZ) == 8500
    assert not force[:300].any()
    standing = np.abs(force - WEIGHT_N) < 0.03 * WEIGHT_N
    spells = np.diff(np.flatnonzero(np.diff(np.concatenate([[0], standing, [0]]).astype(int))))
    assert sorted(spells)[-2] >= (10.0 + 3.0 + 20.0) * RATE_HZ
    assert not force[-500:].any()


@pytest.mark.parametrize(
    ("steps", "message"),
    [
        ((), "at least one"),
        ((Empty(0.0),), "longer"),
        ((Empty(math.nan),), "longer"),
        ((Stand(math.inf), Empty(1.0)), "never ends"),
        ((StepOn(math.inf),), "for ever"),
        ((StepOff(),), "nobody"),
        ((Empty(1.0), LeanToes(1.0)), "nobody"),
        ((Stand(1.0), StepOn()), "already"),
    ],
)
def test_scripts_that_cannot_happen_are_refused(steps: tuple[Step, ...], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        Scenario(steps)


def test_a_demo_without_a_trial_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one trial"):
        demo_scenario(20.0, 0)


@pytest.mark.parametrize("mass_kg", [0.0, -2.0, math.nan])
def test_a_weight_has_a_mass(mass_kg: float) -> None:
    with pytest.raises(ValueError, match="mass"):
        Weight(mass_kg, 0.0, 0.0, 1.0)


@pytest.mark.parametrize(
    ("rate_hz", "half_width_mm"), [(0.0, A_MM), (math.nan, A_MM), (RATE_HZ, -1.0)]
)
def test_a_board_has_a_rate_and_a_size(rate_hz: float, half_width_mm: float) -> None:
    with pytest.raises(ValueError, match="above zero"):
        corner_loads(Scenario((Empty(1.0),)), JUNIOR, rate_hz, half_width_mm, B_MM, 1)
