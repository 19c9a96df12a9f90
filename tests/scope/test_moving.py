"""On a base that moves, and with two plates: what a recording of one still plate does not show."""

import math
from dataclasses import replace

import pytest

from swaytrainer.errors import SwaytrainerError
from swaytrainer.scope import readout
from swaytrainer.scope.watched import Watched, _corners
from tests.streams import board_of, setup_for, short_level


def on_a_barrel(plate_mass_kg: float = 0.0) -> Watched:
    level = replace(short_level(), base="moving barrel", spotter=True)
    return Watched(setup_for(board_of(), level), plate_mass_kg)


def ride(watched: Watched, accelerometer: bool, seconds: float = 6.0) -> None:
    """A base that goes up and down twice a second; the body gives back 40 % of it."""
    for n in range(round(80.0 * seconds)):
        t = n / 80.0
        base = 3.0 * math.cos(2.0 * math.pi * 2.0 * t)
        if accelerometer:
            watched._on_acceleration(t, 9.80665 + base)
        force = 45.0 * (9.80665 + 0.4 * base)
        watched._on_loads(t, (0.25 * force,) * 4, False)


def test_cadence_and_absorption_where_the_base_moves() -> None:
    watched = on_a_barrel()
    ride(watched, accelerometer=True)
    absorbed = watched.absorbed
    assert absorbed is not None
    assert absorbed.cadence_hz == pytest.approx(2.0, abs=0.05)
    assert absorbed.absorption_percent == pytest.approx(60.0, abs=2.0)
    assert "plate's own mass not taken out" in readout.strides_line(watched)
    assert {"cadence", "absorbed"} <= {name for name, _ in readout.values(watched, 1.0)}


def test_without_an_accelerometer_there_is_a_cadence_and_a_reason() -> None:
    watched = on_a_barrel()
    ride(watched, accelerometer=False)
    absorbed = watched.absorbed
    assert absorbed is not None
    assert absorbed.cadence_hz == pytest.approx(2.0, abs=0.05)
    assert math.isnan(absorbed.absorption_percent)
    assert "accelerometer" in readout.strides_line(watched)


def test_on_firm_ground_there_are_no_strides() -> None:
    watched = Watched(setup_for(board_of(), short_level()))
    ride(watched, accelerometer=True)
    assert watched.absorbed is None


def test_a_plate_of_less_than_nothing() -> None:
    with pytest.raises(SwaytrainerError, match="mass"):
        on_a_barrel(-1.0)


def test_a_gap_breaks_the_line_and_a_clock_that_goes_back_is_one() -> None:
    watched = Watched(setup_for(board_of(), short_level()))
    for time_s, gap in ((1.0, False), (1.1, False), (2.0, True), (0.5, False)):
        watched._on_loads(time_s, (100.0,) * 4, gap)
        watched._on_cop(watched.sitting._cop)
    watched.feed([])
    force = watched.curves.stretch("force_n", 0.0, 3.0)
    assert [math.isnan(v) for v in force.values] == [False, False, True, False, True, False]
    assert force.time_s.tolist() == [1.0, 1.1, 2.0, 2.0, 2.0, 2.0]


def test_two_plates_show_front_and_rear_of_each_foot() -> None:
    loads = (1.0, 2.0, 3.0, 4.0, 10.0, 20.0, 30.0, 40.0)
    assert _corners(loads) == (3.0, 30.0, 7.0, 70.0)
    assert sum(_corners(loads)) == sum(loads)
