"""Squats counted and measured, against simulated ones whose truth is known."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.motion.squat import SQUAT_MEASURES, SquatResult, measure_squat
from swaytrainer.motion.squat_height import SPELL_LIMIT_S
from swaytrainer.motion.squat_repetition import find_dips
from swaytrainer.motion.squat_shares import heel_loss_depth_mm
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.squatting import Hand, Heels, Squat, squat_trial
from swaytrainer.sway.feet import Feet
from swaytrainer.sway.prepare import prepare, trace_from_cop
from tests import open_data
from tests.motion.squat_depth import PLACES, SIZES, cases, depth_errors, heel_trials, measured

FIVE = [Squat(250.0)] * 5


def test_random_squats_are_counted_right_or_not_at_all() -> None:
    """Deep and shallow, pauses half-way, holds and rests or none, 25 to 100 kg."""
    counted = 0
    errors: list[tuple[float, float]] = []
    for case in cases(range(14)):
        said = case.result.values["squat_repetitions"]
        assert math.isnan(said) or said == len(case.deep)
        counted += not math.isnan(said)
        errors += depth_errors(case)
    assert counted >= 12
    off, stated = np.array(errors).T
    assert abs(float(off.mean())) < 3.0
    assert float(np.mean(np.abs(off) < stated)) > 0.9


@pytest.mark.parametrize("rate_hz", [80.0, 1000.0])
def test_with_a_rest_between_everything_is_exact(rate_hz: float) -> None:
    squats = [Squat(220.0), Squat(60.0, 1.0, 0.3, 1.0, 1.5), Squat(300.0, 2.0, 1.0, 1.5, 1.5)]
    for seed, athlete in enumerate(SIZES[:: 1 if rate_hz < 500.0 else 3]):
        values = measured(squat_trial(athlete, squats, rate_hz, seed)).values
        assert (values["squat_repetitions"], values["squat_partial_dips"]) == (2.0, 1.0)
        assert values["squat_depth_mm"] == pytest.approx(260.0, abs=6.0)


def test_values_are_the_tables_keys_for_any_trial() -> None:
    result = measured(squat_trial(JUNIOR, FIVE, seed=1))
    assert list(result.values) == list(SQUAT_MEASURES)
    assert all(math.isfinite(v) for k, v in result.values.items() if "heel_loss_depth" not in k)
    nobody = measure_squat(trace_from_cop(*np.vstack([np.arange(4.0) / 80.0, np.ones((3, 4))])))
    assert list(nobody.values) == list(SQUAT_MEASURES)
    assert all(math.isnan(v) for v in nobody.values.values())


def test_the_tempo_is_the_closed_form() -> None:
    """A minimum-jerk way is above 5 % of its peak speed for 88.1 % of its time."""
    trial = squat_trial(
        JUNIOR, [Squat(400.0, 2.0, 1.0, 1.5)], 1000.0, manner=None, cell_noise_n=0.0
    )
    (one,) = measured(trial).repetitions
    root = 0.5 - math.sqrt(0.25 - math.sqrt(0.05 * (15.0 / 8.0) / 30.0))
    share = 1.0 - 2.0 * root
    assert share == pytest.approx(0.881, abs=5e-4)
    assert one.down_s == pytest.approx(2.0 * share, abs=0.01)
    assert one.up_s == pytest.approx(1.5 * share, abs=0.01)
    assert one.hold_s == pytest.approx(1.0 + 3.5 * root, abs=0.01)


def test_squats_without_a_rest_are_counted_but_have_no_depth() -> None:
    chain = [Squat(250.0, 1.5, 0.0, 1.5, 0.0)] * 5
    result = measured(squat_trial(JUNIOR, chain, seed=3))
    assert result.values["squat_repetitions"] == 5.0
    assert math.isnan(result.values["squat_depth_mm"])
    assert any(f"more than {SPELL_LIMIT_S:g} s" in note for note in result.notes)
    assert result.profile == ()


def test_a_hold_in_a_shallow_dip_is_no_standing() -> None:
    """After a long movement its height is so uncertain that only the way up tells."""
    squats = [Squat(205.0, 1.8, 1.0, 1.9, 0.0), Squat(30.0, 1.1, 1.0, 1.0), Squat(250.0)]
    for seed in range(3):
        result = measured(squat_trial(JUNIOR, squats, seed=seed))
        values = result.values
        assert (values["squat_repetitions"], values["squat_partial_dips"]) == (2.0, 1.0)
        depths = [r.depth_mm for r in result.repetitions]
        assert depths == pytest.approx([205.0, 250.0], abs=10.0)


def test_a_step_of_the_heels_is_found() -> None:
    depth = np.linspace(0.0, 250.0, 800)
    toes = np.where(depth < 140.0, 42.0, 60.0)
    assert heel_loss_depth_mm(depth, toes, 50.0) == pytest.approx(140.0, abs=2.0)
    # Crossing it for a moment is no loss, nor is being above all the way, nor never.
    blip = np.where((depth > 50.0) & (depth < 60.0), 60.0, toes)
    assert heel_loss_depth_mm(depth, blip, 50.0) == pytest.approx(140.0, abs=2.0)
    assert math.isnan(heel_loss_depth_mm(depth, toes, 70.0))
    assert math.isnan(heel_loss_depth_mm(depth, toes, 30.0))
    assert math.isnan(heel_loss_depth_mm(depth[:1], toes[:1], 50.0))


def test_heel_loss_follows_the_truth() -> None:
    """The mean over trials; ``squat_depth`` prints the spread between them (9 to 14 mm)."""
    early, late = (np.array(heel_trials(range(6), loss)) for loss in (100.0, 180.0))
    assert float(np.nanmean(early)) == pytest.approx(100.0, abs=12.0)
    assert float(np.nanmean(late)) == pytest.approx(180.0, abs=15.0)
    kept = measured(squat_trial(JUNIOR, FIVE, seed=2, heels=Heels(40.0)))
    assert math.isnan(kept.values["squat_heel_loss_depth_mm"])
    assert kept.values["squat_heel_loss_repetitions"] == 0.0


def test_the_profile_holds_the_shares_by_depth() -> None:
    heels = Heels(40.0, loss_depth_mm=150.0)
    trial = squat_trial(JUNIOR, FIVE, seed=1, heels=heels, manner=None)
    result = measured(trial)
    assert len(result.profile) == 10
    for bin_ in result.profile:
        middle = 0.5 * (bin_.low_mm + bin_.high_mm)
        expected = 40.0 + 10.0 * (middle / 150.0) ** 2
        assert bin_.down_toe_percent == pytest.approx(expected, abs=2.5)
        assert bin_.up_toe_percent == pytest.approx(expected, abs=2.5)
        assert bin_.squats == 5
    bottom = 40.0 + 10.0 * (250.0 / 150.0) ** 2
    assert result.values["squat_toe_share_bottom_percent"] == pytest.approx(bottom, abs=3.0)


def test_a_lean_to_the_right_is_settled_and_even_is_even() -> None:
    def done(shift: float) -> SquatResult:
        heels = Heels(right_shift_percent=shift)
        return measured(squat_trial(JUNIOR, [Squat(250.0)] * 8, seed=4, heels=heels))

    right, left = done(14.0), done(-14.0)
    assert (right.evenness, left.evenness) == ("right", "left")
    assert right.values["squat_right_share_bottom_percent"] == pytest.approx(63.0, abs=3.0)
    verdicts = [done(0.0).evenness]
    still = Heels(right_share_percent=50.0)
    verdicts.append(measured(squat_trial(JUNIOR, FIVE, heels=still, manner=None)).evenness)
    assert verdicts[1] == "even"
    # Squats that are all alike still can't know the middle between the feet better than 2 mm.
    alike = measured(squat_trial(JUNIOR, FIVE, heels=still, manner=None)).values
    floor = 1.96 * 100.0 * 2.0 / JUNIOR.stance_width_mm
    assert floor <= alike["squat_right_share_bottom_u95_percent"] < 1.2 * floor
    assert "left" not in verdicts
    one = measured(squat_trial(JUNIOR, [Squat(250.0)], seed=1))
    assert one.evenness == "not settled"
    assert math.isnan(one.values["squat_right_share_bottom_u95_percent"])


def test_a_hand_makes_no_number() -> None:
    trial = squat_trial(JUNIOR, FIVE, seed=6, hands=[Hand(8.0, 9.0, 0.08)])
    result = measured(trial)
    assert math.isnan(result.values["squat_repetitions"])
    assert 0 < len(result.repetitions) < 5
    assert any("aren't counted" in note for note in result.notes)


def test_a_base_that_moves_is_refused() -> None:
    trial = squat_trial(JUNIOR, FIVE, seed=1)
    trace = prepare(trial.time_s, trial.loads_n, PLACES)
    result = measure_squat(trace, trial.feet, base_still=False)
    assert all(math.isnan(v) for v in result.values.values())
    assert "base moves" in result.notes[0]


def test_without_feet_the_shares_are_missing_only() -> None:
    trial = squat_trial(JUNIOR, FIVE, seed=1)
    result = measure_squat(prepare(trial.time_s, trial.loads_n, PLACES))
    assert result.values["squat_repetitions"] == 5.0
    assert math.isnan(result.values["squat_toe_share_percent"])
    assert any("feet's places" in note for note in result.notes)


def test_what_cannot_be_is_told() -> None:
    trial = squat_trial(JUNIOR, [], seed=1)
    trace = prepare(trial.time_s, trial.loads_n, PLACES)
    feet = trial.feet
    with pytest.raises(SwaytrainerError, match="band"):
        measure_squat(trace, feet, band_percent=(50.0, 35.0))
    with pytest.raises(SwaytrainerError, match="swaying"):
        measure_squat(trace, feet, least_depth_mm=5.0)
    with pytest.raises(SwaytrainerError, match="weigh"):
        measure_squat(trace, feet, weight_n=-3.0)
    with pytest.raises(SwaytrainerError, match="Gravity"):
        measure_squat(trace, feet, gravity_m_s2=1.6)
    # Kilograms for newtons: the weight in newtons tells.
    assert "weight" in measure_squat(trace, feet, weight_n=trial.weight_n / 9.8).notes[0]
    nothing = measure_squat(trace, feet).values
    assert (nothing["squat_repetitions"], nothing["squat_partial_dips"]) == (0.0, 0.0)


@settings(max_examples=100, deadline=None)
@given(st.lists(st.one_of(st.floats(-50.0, 400.0), st.just(math.nan)), max_size=80))
def test_dips_are_ordered_and_deep(depths: list[float]) -> None:
    dips = find_dips(np.array(depths))
    for dip in dips:
        assert dip.start < dip.bottom < dip.end
        part = np.array(depths)[dip.start : dip.end + 1]
        assert np.isfinite(part).all()
        assert dip.depth_mm == part.max()
        assert part.max() - part[0] >= 25.0
    assert all(a.end <= b.start for a, b in pairwise(dips))


@pytest.mark.open_data
@pytest.mark.parametrize("trial", open_data.STANDING_TRIALS)
def test_people_who_stand_do_not_squat(trial: int) -> None:
    """On a firm plate no squats; on foam no still stand, or none either."""
    trace = prepare(*open_data.standing(trial), open_data.PLACES)
    values = measure_squat(trace, Feet(-60.0, 80.0, -90.0, 90.0)).values
    firm = trial in range(1, 7) or trial in range(97, 103)
    if firm:
        assert (values["squat_repetitions"], values["squat_partial_dips"]) == (0.0, 0.0)
    assert not values["squat_repetitions"] > 0.0
