"""The fit on built plates whose gains, cross-talk and places are known (closed form, no source)."""

import math
from dataclasses import replace

import numpy as np
import pytest

from swaytrainer.board.calibration import Vector4
from swaytrainer.board.calibration_file import from_toml, to_toml
from swaytrainer.board.fit import Assumed, Fit, Reading, Spot, fit
from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.board.guided import marked_spots
from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.cop import CellPlaces
from tests.board.boards import MADE

PLACES = CellPlaces.rectangle(220.0, 170.0)
SPOTS = marked_spots(220.0, 170.0)
GAINS = np.array([0.00047, 0.00049, 0.00045, 0.00046])
OFFSETS = np.array([12000.0, -300.0, 5000.0, 0.0])
TALK = np.array(
    [[1, 0.01, 0, -0.004], [0.003, 1, 0.006, 0], [0, -0.008, 1, 0.002], [0.005, 0, 0.004, 1.0]]
)
TRUE_PLACES = np.array(PLACES) + np.array([(2.0, -1.0), (-1.5, 0.5), (0.0, 2.0), (1.0, 1.0)])


def vector(values: np.ndarray) -> Vector4:
    a, b, c, d = (float(v) for v in values)
    return (a, b, c, d)


def counts_for(
    mass_kg: float,
    x_mm: float,
    y_mm: float,
    places: np.ndarray | CellPlaces = PLACES,
    talk: np.ndarray | None = None,
) -> Vector4:
    """A plane of loads over the cells' places, solved by a general least-norm solver."""
    basis = np.column_stack([np.ones(4), np.asarray(places)])
    wanted = mass_kg * STANDARD_GRAVITY * np.array([1.0, x_mm, y_mm])
    # The loads without twist are the least-norm solution of force and moment balance.
    loads = np.linalg.lstsq(basis.T, wanted, rcond=None)[0]
    return vector((np.eye(4) if talk is None else talk) @ loads / GAINS + OFFSETS)


def empty(time_s: float = 0.0) -> Reading:
    return Reading(None, 0.0, vector(OFFSETS), time_s)


def readings(masses_kg: tuple[float, ...] = (20.0,), **built: np.ndarray) -> list[Reading]:
    loaded = [
        Reading(s, m, counts_for(m, s.x_mm, s.y_mm, **built), 10.0 * (i + 1))
        for i, (m, s) in enumerate((m, s) for m in masses_kg for s in SPOTS)
    ]
    return [empty(), *loaded, empty(10.0 * (len(loaded) + 1))]


def fitted(pieces: list[Reading], assumed: Assumed | None = None) -> Fit:
    return fit("00000000000000a1", MADE, PLACES, pieces, assumed)


def test_exact_masses_give_the_exact_gains() -> None:
    found = fitted(readings())
    assert np.allclose(found.calibration.gain_n_per_count, GAINS, rtol=1e-9)
    assert np.allclose(found.calibration.places, PLACES, atol=1e-6)
    assert found.residual_n < 1e-6
    assert found.worst_place_mm < 1e-6
    assert found.condition == pytest.approx(1.44, abs=0.01)


@pytest.mark.parametrize("masses_kg", [(20.0,), (20.0, 10.0)])
def test_force_and_cop_are_found_through_cross_talk_and_misplaced_cells(
    masses_kg: tuple[float, ...],
) -> None:
    """Not the single gains, talks and places, but what matters, at spots and loads never seen."""
    found = fitted(readings(masses_kg, places=TRUE_PLACES, talk=TALK))
    # The same with cross-talk and places held as drawn: what gains alone can do.
    held = Assumed(cell_place_u_mm=1e-6, cross_talk_u=1e-9)
    plain = fitted(readings(masses_kg, places=TRUE_PLACES, talk=TALK), held).calibration
    for mass, x, y in ((62.0, 40.0, -30.0), (30.0, -120.0, 100.0)):
        counts = counts_for(mass, x, y, TRUE_PLACES, TALK)
        errors = []
        for c in (found.calibration, plain):
            loads = np.array(c.loads(counts))
            force = loads.sum()
            apart = loads @ np.array(c.places) / force - (x, y)
            errors.append((abs(force / mass / STANDARD_GRAVITY - 1), math.hypot(*apart)))
        assert errors[0][0] < 1e-6
        assert errors[0][1] < 0.02
        assert errors[1][1] > 1.0


def test_uncertainty_follows_the_masses_and_the_placing() -> None:
    """Closed form: one mass known to u gives F that share; n placings average like a mean."""
    base = Assumed(gravity_u_m_s2=1e-6, mass_u_kg=0.1, placing_u_mm=1e-3)
    trust = fitted(readings(), base).calibration.expanded(500.0, 0.0, 0.0)
    assert trust is not None
    assert trust.force_n / 500.0 == pytest.approx(1.96 * 0.1 / 20.0, rel=0.02)
    rough = fitted(readings(), replace(base, placing_u_mm=1.0, mass_u_kg=1e-4))
    middle = rough.calibration.expanded(1e5, 0.0, 0.0)
    assert middle is not None
    # Straight-line regression over nine spots, as the prior is weak: 1/√9 in the middle.
    assert middle.x_mm == pytest.approx(1.96 / 3.0, rel=0.03)
    x = np.array([s.x_mm for s in SPOTS])
    y = np.array([s.y_mm for s in SPOTS])
    far = rough.calibration.expanded(1e5, 100.0, 80.0)
    assert far is not None
    expected = 1.96 * math.sqrt(1 / 9 + 100.0**2 / (x @ x) + 80.0**2 / (y @ y))
    assert far.x_mm == pytest.approx(expected, rel=0.06)


def test_a_wrong_zero_counts_more_under_a_light_load() -> None:
    trust = fitted([replace(r, noise_counts=(40.0,) * 4, samples=80) for r in readings()])
    uncertainty = trust.calibration.uncertainty
    assert uncertainty is not None
    big = replace(uncertainty, covariance=tuple((0.0,) * (i + 1) for i in range(9)), zero_n=0.1)
    light = big.expanded(PLACES, 200.0, 0.0, 0.0)
    # Four independent zeros: 2·u of force, 2·a·u/F of COP (brief: σ_x = 2aσ/F).
    assert light.force_n == pytest.approx(1.96 * 0.2)
    assert light.x_mm == pytest.approx(1.96 * 2 * 220.0 * 0.1 / 200.0)
    assert light.y_mm == pytest.approx(1.96 * 2 * 170.0 * 0.1 / 200.0)


def test_the_file_keeps_it_all() -> None:
    calibration = fitted(readings((20.0, 10.0), places=TRUE_PLACES, talk=TALK)).calibration
    text = to_toml(calibration)
    assert from_toml(text, "x") == calibration
    assert "95 %" in text
    older = text.split("# 500 N")[0]
    assert from_toml(older, "x") == replace(calibration, uncertainty=None)


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        ("[uncertainty]\n", "[uncertainty]\nx = ", "not valid"),
        ("zero_n =", "nil_n =", "uncertainty.zero_n must be a number"),
        ("covariance = [\n    [", "covariance = [\n    [1.0, ", "nine rows"),
        ("covariance = [\n    [", "covariance = [\n    [-", "negative variance"),
    ],
)
def test_a_mad_uncertainty_is_refused(old: str, new: str, why: str) -> None:
    text = to_toml(fitted(readings()).calibration)
    assert old in text
    with pytest.raises(SwaytrainerError, match=why):
        from_toml(text.replace(old, new, 1), "x")


def test_a_reversed_cell_gets_a_negative_gain() -> None:
    pieces = [replace(r, counts=(-r.counts[0], *r.counts[1:])) for r in readings()]
    assert fitted(pieces).calibration.gain_n_per_count[0] == pytest.approx(-GAINS[0])


def test_a_straight_drift_of_the_zero_is_taken_out() -> None:
    drift = np.array([600.0, -200.0, 0.0, 900.0])
    last = readings()[-1].time_s
    pieces = [
        replace(r, counts=vector(np.array(r.counts) + drift * r.time_s / last)) for r in readings()
    ]
    found = fitted(pieces)
    assert found.drift_n == pytest.approx(900 * GAINS[3], rel=1e-3)
    assert np.allclose(found.calibration.gain_n_per_count, GAINS, rtol=1e-7)
    assert found.calibration.offset_counts == pytest.approx(OFFSETS + drift)


def test_what_does_not_determine_the_unknowns_is_refused() -> None:
    pieces = readings()
    with pytest.raises(SwaytrainerError, match="too few"):
        fitted(pieces[:3])
    with pytest.raises(SwaytrainerError, match="Without the empty board"):
        fitted(pieces[1:-1])
    with pytest.raises(SwaytrainerError, match=r"too much alike.*infinite"):
        fitted([pieces[0], *[pieces[1]] * 4])
    line = [Spot(str(x), float(x), 0.5 * x) for x in (-100, -50, 0, 50, 100)]
    with pytest.raises(SwaytrainerError, match="one line"):
        fitted([empty(), *(Reading(s, 20.0, counts_for(20.0, s.x_mm, s.y_mm)) for s in line)])
    close = [Spot(str(i), 9.0 * math.cos(i), 9.0 * math.sin(i)) for i in range(5)]
    with pytest.raises(SwaytrainerError, match=r"condition number 20, at most 10"):
        fitted([empty(), *(Reading(s, 20.0, counts_for(20.0, s.x_mm, s.y_mm)) for s in close)])
    with pytest.raises(SwaytrainerError, match="too much"):
        fitted(pieces, Assumed(placing_u_mm=15.0))
    with pytest.raises(SwaytrainerError, match="too much"):
        fitted(pieces, Assumed(mass_u_kg=1.0))


def test_a_dead_cell_is_named() -> None:
    pieces = [replace(r, counts=(*r.counts[:2], OFFSETS[2], r.counts[3])) for r in readings()]
    with pytest.raises(SwaytrainerError, match="rear left cell never moved"):
        fitted(pieces)


def test_masses_on_each_others_marks_are_refused_with_the_place() -> None:
    pieces = readings()
    pieces[2], pieces[4] = (
        replace(pieces[2], counts=pieces[4].counts),
        replace(pieces[4], counts=pieces[2].counts),
    )
    with pytest.raises(SwaytrainerError, match=r"at (front left|front right).*beside its mark"):
        fitted(pieces)


def test_masses_that_contradict_each_other_are_refused() -> None:
    pieces = readings((20.0, 10.0))
    lie = [replace(r, mass_kg=10.4 if r.mass_kg == 10.0 else r.mass_kg) for r in pieces]
    with pytest.raises(SwaytrainerError, match="contradict"):
        fitted(lie)


def test_what_was_not_checked_is_said() -> None:
    assert any("linearity" in n for n in fitted(readings()).notes)
    assert fitted(readings((20.0, 10.0))).notes == ()
    assert any("once only" in n for n in fitted(readings((20.0, 10.0))[:-1]).notes)
