"""Our measures against other people's: real volunteers, with their authors' own results.

The corner loads are rounded to 10 µN, which moves a COP sample by some 10 nm and is all that is
left between the published numbers and ours.
"""

from __future__ import annotations

import numpy as np
import pytest

from swaytrainer.sway.cop import CellPlaces, cop_arrays
from swaytrainer.sway.ellipse import finite_sample_factor
from swaytrainer.sway.feet import Feet
from swaytrainer.sway.prepare import Trace, prepare, trace_from_cop, trial_too_broken
from swaytrainer.sway.spectrum import welch
from swaytrainer.sway.table import foot_measures, notes, sway_measures
from tests import open_data

pytestmark = pytest.mark.open_data

ENTROPY_NOTE = "Sample entropy is of 20 values a second, each the mean of a twentieth of a second."


@pytest.fixture(scope="module")
def published() -> dict[int, dict[str, str]]:
    return open_data.published()


def unfiltered(trial: int) -> Trace:
    return prepare(*open_data.standing(trial), open_data.PLACES, cutoff_hz=None)


@pytest.mark.parametrize("trial", open_data.STANDING_TRIALS)
def test_published_results_are_reproduced(trial: int, published: dict[int, dict[str, str]]) -> None:
    """Santos & Duarte 2016, PeerJ 4:e2648: speed, area and mean frequency of one trial."""
    trace = unfiltered(trial)
    assert trace.rate_hz == pytest.approx(100.0, abs=1e-9)
    assert trial_too_broken(trace) is None
    assert notes(trace) == [ENTROPY_NOTE]
    assert np.abs(trace.twist_n).max() < 2.1e-5  # an ideal plate, but for four roundings
    values = sway_measures(trace)
    row = published[trial]
    n = trace.time_s.size

    speed = values["path_length_mm"] / (n / trace.rate_hz)  # the authors' T is N/fs
    assert speed == pytest.approx(10.0 * float(row["cop_speed_cm_s"]), rel=6e-7)
    assert values["mean_speed_mm_s"] == pytest.approx(speed * n / (n - 1), rel=1e-12)

    area = values["ellipse_area_mm2"]
    published_mm2 = 100.0 * float(row["cop_area_cm2"])
    assert area * finite_sample_factor(n) == pytest.approx(published_mm2, rel=6e-8)
    assert area / published_mm2 == pytest.approx(1.0 - 0.000833, abs=1e-6)

    # The authors' frequency is none of ours: each axis's power-weighted mean frequency
    # (trapezoid rule), and of these the mean weighted by each axis's power (plain sum).
    weighted = power = 0.0
    for series in (trace.x_mm, trace.y_mm):
        f, density = welch(series, trace.rate_hz, n // 2)
        product = f * density
        mean_hz = (product.sum() - 0.5 * (product[0] + product[-1])) / (
            density.sum() - 0.5 * (density[0] + density[-1])
        )
        weighted += float(mean_hz * density.sum())
        power += float(density.sum())
    assert weighted / power == pytest.approx(float(row["cop_mean_frequency_hz"]), rel=1e-7)


def test_there_are_24_trials(published: dict[int, dict[str, str]]) -> None:
    files = list((open_data.folder() / "standing").glob("s*.csv.gz"))
    assert len(files) == len(open_data.STANDING_TRIALS) == 24
    assert set(open_data.STANDING_TRIALS) <= set(published)


def test_eyes_and_surface_order_the_speeds_as_in_every_study() -> None:
    """Firm open < firm closed < foam open < foam closed, by the medians of these trials."""
    groups: dict[str, list[float]] = {}
    for trial in open_data.STANDING_TRIALS:
        row = open_data.published()[trial]
        speed = sway_measures(unfiltered(trial))["mean_speed_mm_s"]
        groups.setdefault(f"{row['surface']} {row['vision']}", []).append(speed)
    order = ["firm open", "firm closed", "foam open", "foam closed"]
    medians = [float(np.median(groups[name])) for name in order]
    assert medians == sorted(medians)


def test_the_filter_takes_speed_but_hardly_any_area() -> None:
    """Why a speed must carry its filter's label, and an area hardly needs it."""
    for trial in open_data.STANDING_TRIALS[::6]:
        raw = sway_measures(unfiltered(trial))
        smooth = sway_measures(prepare(*open_data.standing(trial), open_data.PLACES))
        assert smooth["mean_speed_mm_s"] < raw["mean_speed_mm_s"]
        assert smooth["ellipse_area_mm2"] == pytest.approx(raw["ellipse_area_mm2"], rel=0.01)


@pytest.mark.parametrize("name", ["open_firm_1", "closed_foam_1"])
def test_two_plates_make_one(name: str) -> None:
    """Santos, Fukuchi, Fukuchi & Duarte 2017, PeerJ 5:e3626: a foot on each of two plates.

    The authors' joint COP is not among the columns, so it is the moment balance that is checked:
    the feet's loads put through the cells of one plate under both give the force-weighted mean of
    their COPs; and the joint COP alone tells the right foot's share, 45-51 % by the plates, once
    it is known where the feet stand.
    """
    c = open_data.two_plates(name)
    total_n = c["left_force_n"] + c["right_force_n"]
    places = CellPlaces.rectangle(300.0, 250.0)
    four = np.zeros((total_n.size, 4))
    for foot in ("left", "right"):
        right, front = c[f"{foot}_x_mm"] / 300.0, c[f"{foot}_y_mm"] / 250.0
        shares = [1 - right + front, 1 + right + front, 1 - right - front, 1 + right - front]
        four += 0.25 * c[f"{foot}_force_n"][:, None] * np.stack(shares, axis=1)
    force_n, x, y, twist_n = cop_arrays(four, places, 20.0)
    for axis, joint in (("x", x), ("y", y)):
        left, right = c[f"left_{axis}_mm"], c[f"right_{axis}_mm"]
        expected = (c["left_force_n"] * left + c["right_force_n"] * right) / total_n
        np.testing.assert_allclose(joint, expected, atol=1e-9)
    assert np.abs(twist_n).max() < 1e-9

    measured = 100.0 * c["right_force_n"] / total_n
    assert 45.0 < measured.mean() < 51.0
    feet = Feet(-100.0, 100.0, float(c["left_x_mm"].mean()), float(c["right_x_mm"].mean()))
    inferred = foot_measures(trace_from_cop(c["time_s"], force_n, x, y), feet, 35.0, 50.0)
    assert inferred["right_share_percent"] == pytest.approx(measured.mean(), abs=0.05)
    assert np.abs(feet.right_share_percent(x) - measured).max() < 2.0
