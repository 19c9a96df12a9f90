"""A pushed base is told from one that stands still, by the force alone."""

import math

import numpy as np
import pytest

from swaytrainer.training.tasks.push import PushWatch


def watched(ripple: np.ndarray, rate_hz: float) -> PushWatch:
    watch = PushWatch(rate_hz)
    for value in ripple:
        watch.add(float(value))
    return watch


@pytest.mark.parametrize("rate_hz", [80.0, 1000.0])
@pytest.mark.parametrize("cadence_hz", [1.0, 1.6, 2.2])
def test_the_pushed_cadence_is_like_the_heard_one(rate_hz: float, cadence_hz: float) -> None:
    t = np.arange(round(6.0 * rate_hz)) / rate_hz
    turn = 2.0 * math.pi * cadence_hz * t
    watch = watched(0.08 * np.cos(turn) + 0.04 * np.cos(2.0 * turn + 1.0), rate_hz)
    assert watch.like(1.0 / cadence_hz)
    assert watch.like(1.15 / cadence_hz)
    assert not watch.like(1.4 / cadence_hz)
    assert not watch.like(0.6 / cadence_hz)


def test_a_base_at_rest_is_like_nothing() -> None:
    rng = np.random.default_rng(5)
    for ripple in (np.zeros(480), 0.004 * rng.standard_normal(480), np.zeros(0)):
        assert not watched(ripple, 80.0).like(0.625)


def test_nothing_is_bridged() -> None:
    t = np.arange(480) / 80.0
    ripple = 0.1 * np.cos(2.0 * math.pi * 1.6 * t)
    watch = watched(ripple, 80.0)
    watch.add(math.nan)
    assert not watch.like(0.625)
    for value in ripple[:100]:
        watch.add(float(value))
    assert not watch.like(0.625)  # two strides only
    for value in ripple[100:300]:
        watch.add(float(value))
    assert watch.like(0.625)
