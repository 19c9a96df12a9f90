"""Guided calibration on built plates whose gains are known (closed form, no source)."""

from datetime import UTC, datetime

import numpy as np
import pytest

from swaytrainer.board.guided import STANDARD_GRAVITY, Fit, Guide, Placed, fit_gains, marked_spots
from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.cop import CellPlaces

PLACES = CellPlaces.rectangle(220.0, 170.0)
SPOTS = marked_spots(220.0, 170.0)
GAINS = np.array([0.00047, 0.00049, 0.00045, 0.00046])
OFFSETS = np.array([12000.0, -300.0, 5000.0, 0.0])
MADE = datetime(2026, 3, 1, tzinfo=UTC)


def counts_for(mass_kg: float, x_mm: float, y_mm: float) -> tuple[float, float, float, float]:
    force = mass_kg * STANDARD_GRAVITY
    across, along = x_mm / 220.0, y_mm / 170.0
    loads = (
        force
        / 4
        * np.array([1 - across + along, 1 + across + along, 1 - across - along, 1 + across - along])
    )
    a, b, c, d = (float(v) for v in loads / GAINS + OFFSETS)
    return (a, b, c, d)


def placed(mass_kg: float = 20.0) -> list[Placed]:
    return [Placed(s, mass_kg, counts_for(mass_kg, s.x_mm, s.y_mm)) for s in SPOTS]


def fit(pieces: list[Placed]) -> Fit:
    o = OFFSETS
    return fit_gains("00000000000000a1", MADE, PLACES, (o[0], o[1], o[2], o[3]), pieces)


def test_exact_masses_give_the_exact_gains() -> None:
    found = fit(placed())
    assert np.allclose(found.calibration.gain_n_per_count, GAINS, rtol=1e-9)
    assert found.residual_n < 1e-6
    assert found.worst_place_mm < 1e-6


def test_a_reversed_cell_gets_a_negative_gain() -> None:
    pieces = [
        Placed(p.spot, p.mass_kg, (2 * OFFSETS[0] - p.counts[0], *p.counts[1:])) for p in placed()
    ]
    assert fit(pieces).calibration.gain_n_per_count[0] == pytest.approx(-GAINS[0])


def test_a_wrong_spot_is_refused() -> None:
    pieces = placed()
    pieces[1], pieces[2] = (
        Placed(pieces[1].spot, 20.0, pieces[2].counts),
        Placed(pieces[2].spot, 20.0, pieces[1].counts),
    )
    with pytest.raises(SwaytrainerError, match="beside its mark"):
        fit(pieces)


def test_too_few_or_equal_spots_are_refused() -> None:
    with pytest.raises(SwaytrainerError, match="too few"):
        fit(placed()[:2])
    with pytest.raises(SwaytrainerError, match="too much alike"):
        fit([placed()[0]] * 3)


def test_a_dead_cell_is_named() -> None:
    pieces = [Placed(p.spot, p.mass_kg, (*p.counts[:2], OFFSETS[2], p.counts[3])) for p in placed()]
    with pytest.raises(SwaytrainerError, match="rear left cell never moved"):
        fit(pieces)


def test_a_mass_carried_to_the_next_mark_may_take_its_time() -> None:
    guide = Guide(SPOTS, 20.0)
    time_s = 0.0
    for mass, x, y in [(0.0, 0.0, 0.0), *((20.0, s.x_mm, s.y_mm) for s in SPOTS)]:
        for load in (mass, 0.0):
            for _ in range(160):
                guide.update(time_s, counts_for(load, x, y))
                time_s += 0.0125
    assert guide.done
    assert [p.counts for p in guide.placed] == [
        pytest.approx(counts_for(20.0, s.x_mm, s.y_mm)) for s in SPOTS
    ]


def test_a_mass_slid_to_the_next_mark_is_not_taken_half_way() -> None:
    guide = Guide(SPOTS[:2], 20.0)
    time_s = 0.0
    for mass, x, y in [(0.0, 0.0, 0.0), *((20.0, s.x_mm, s.y_mm) for s in SPOTS[:2])]:
        for _ in range(130):
            guide.update(time_s, counts_for(mass, x, y))
            time_s += 0.0125
    assert [p.counts for p in guide.placed] == [
        pytest.approx(counts_for(20.0, s.x_mm, s.y_mm)) for s in SPOTS[:2]
    ]


def test_the_guide_takes_each_spot_once_it_lies_still() -> None:
    rng = np.random.default_rng(4)
    guide = Guide(SPOTS, 20.0)
    assert "empty" in guide.instruction
    time_s, told = 0.0, []
    phases = [(0.0, 0.0, 0.0), *((20.0, s.x_mm, s.y_mm) for s in SPOTS)]
    for mass, x, y in phases:
        # The mass is put down over a third of a second, then lies for two.
        for i in range(27):
            jolt = counts_for(mass, x, y) if i % 2 else counts_for(0.5 * mass + 3, 0, 0)
            guide.update(time_s, jolt)
            time_s += 0.0125
        for _ in range(160):
            noisy = np.array(counts_for(mass, x, y)) + rng.normal(0, 40, 4)
            a, b, c, d = (float(v) for v in noisy)
            if guide.update(time_s, (a, b, c, d)):
                told.append(guide.instruction)
            time_s += 0.0125
    assert guide.done
    assert len(told) == 6
    assert told[0] == "Put 20 kg on the middle."
    assert guide.empty is not None
    found = fit_gains("00000000000000a1", MADE, PLACES, guide.empty, guide.placed)
    assert np.allclose(found.calibration.gain_n_per_count, GAINS, rtol=1e-3)
