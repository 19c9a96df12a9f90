"""The tare: the mean of a quiet, empty second, and nothing else."""

import pytest

from swaytrainer.board.tare import Tare


def feed(tare: Tare, loads: list[tuple[float, float, float, float]], begin_s: float = 0.0) -> int:
    return sum(tare.update(begin_s + i / 80, load) for i, load in enumerate(loads))


def test_a_quiet_second_is_averaged() -> None:
    tare = Tare()
    assert not tare.known
    loads = [(1.0 + 0.1 * (-1) ** i, -2.0, 0.5, 0.0) for i in range(90)]
    assert feed(tare, loads) == 1
    assert tare.known
    assert tare.tare_n == pytest.approx((1.0, -2.0, 0.5, 0.0), abs=0.002)


def test_somebody_on_the_board_is_never_tared_away() -> None:
    tare = Tare()
    assert feed(tare, [(50.0, 50.0, 50.0, 50.0)] * 400) == 0
    assert feed(tare, [(60.0, -60.0, 0.0, 0.0)] * 400, 10.0) == 0
    assert not tare.known


def test_a_touch_begins_the_second_anew() -> None:
    tare = Tare()
    loads = [(0.0, 0.0, 0.0, 0.0)] * 60 + [(0.0, 8.0, 0.0, 0.0)] * 3
    assert feed(tare, loads + [(0.0, 0.0, 0.0, 0.0)] * 60) == 0


def test_drift_is_followed() -> None:
    tare = Tare()
    for k in range(20):
        feed(tare, [(float(k), 0.0, 0.0, 0.0)] * 81, begin_s=2.0 * k)
    assert tare.tare_n[0] == pytest.approx(19.0)


def test_a_foot_that_rests_on_the_board_is_not_tared_away_but_a_pad_is() -> None:
    tare = Tare()
    feed(tare, [(0.0, 0.0, 0.0, 0.0)] * 90)
    # Ten seconds of a foot held as still as a foot can be.
    foot = [(9.0 + 0.4 * (n % 40 < 20), 0.0, 0.0, 0.3 * (n % 90 < 45)) for n in range(800)]
    assert feed(tare, foot, 2.0) == 0
    assert tare.tare_n == (0.0, 0.0, 0.0, 0.0)
    assert feed(tare, [(0.0, 0.0, 0.0, 0.0)] * 90, 15.0) == 1
    assert feed(tare, [(5.0, 5.0, 5.0, 5.0)] * 700, 20.0) == 1
    assert tare.tare_n == pytest.approx((5.0, 5.0, 5.0, 5.0))


def test_a_window_does_not_go_on_over_a_trial() -> None:
    """Between two calls a trial may have run: what is averaged must lie within one second."""
    tare = Tare()
    feed(tare, [(0.0, 0.0, 0.0, 0.0)] * 100)
    assert not tare.update(30.0, (15.0, 15.0, 4.0, 4.0))
    assert tare.tare_n == (0.0, 0.0, 0.0, 0.0)
