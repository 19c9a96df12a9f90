"""Live landings against the batch, on the same samples."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.motion.landing import measure_landing
from swaytrainer.motion.landing_settle import QuietStance
from swaytrainer.motion.landing_table import LandingResult
from swaytrainer.motion.landing_watch import LandingEvent, LandingWatch
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.jumping import Jump, Jumping
from swaytrainer.sway.cop import CellPlaces
from swaytrainer.sway.prepare import Trace, prepare, trace_from_cop

PLACES = CellPlaces.rectangle(220.0, 220.0)
STANCE = QuietStance(JUNIOR.mass_kg * 9.80665, 8.0)


def watched(trace: Trace, stance: QuietStance = STANCE) -> list[tuple[float, LandingEvent]]:
    """What is told, and when."""
    watch = LandingWatch(stance, trace.rate_hz)
    told = []
    for row in zip(trace.time_s, trace.force_n, trace.x_mm, trace.y_mm, strict=True):
        event = watch.update(*(float(v) for v in row))
        if event is not None:
            told.append((float(row[0]), event))
    return told


def expected(result: LandingResult) -> list[LandingEvent]:
    events = []
    for one in result.landings:
        events.append(LandingEvent("contact", one.contact.time_s, one.flight_s))
        if one.peak is not None:
            events.append(LandingEvent("peak", one.peak.time_s, one.peak_bw, one.saturated))
        if not math.isnan(one.time_to_still_s):
            still_s = one.contact.time_s + one.time_to_still_s
            events.append(LandingEvent("still", still_s, one.time_to_still_s))
    return events


def assert_same(told: list[LandingEvent], wanted: list[LandingEvent]) -> None:
    assert [e.kind for e in told] == [e.kind for e in wanted]
    for live, batch in zip(told, wanted, strict=True):
        assert live.time_s == pytest.approx(batch.time_s, rel=1e-12)
        assert live.value == pytest.approx(batch.value, rel=1e-9, nan_ok=True)
        assert live.at_least == batch.at_least


@pytest.mark.parametrize("rate_hz", [80.0, 250.0, 1000.0])
def test_live_equals_batch(rate_hz: float) -> None:
    jumps = [
        Jump(150.0, lag_s=0.02, stand_s=3.0),
        Jump(250.0, stand_s=0.9),  # off again before it is still
        Jump(300.0, from_outside=True, stray_mm=30.0, stand_s=4.0),
    ]
    jumping = Jumping(JUNIOR, jumps, seed=3)
    got = jumping.sample(rate_hz, 1)
    trace = prepare(got.time_s, got.loads_n, PLACES, cutoff_hz=None)
    told = watched(trace)
    assert_same([e for _, e in told], expected(measure_landing(trace, stance=STANCE)))
    assert " ".join(e.kind for _, e in told) == (
        "contact peak still contact peak contact peak still"
    )
    for at_s, event in told:  # nothing is told before it happens, nor much later than it can be
        late = {"contact": 0.0, "peak": 0.25, "still": 1.0, "step": 0.25}[event.kind]
        assert -1e-9 <= at_s - event.time_s <= late + 2.5 / rate_hz + 0.005


def test_rebounds_and_steps_are_told_like_the_batch() -> None:
    """Contacts of 0.1 s with flights of 0.13 s between: the peak's time is cut by the next."""
    t = np.arange(0.0, 4.0, 0.01)
    force = np.zeros(t.size)
    for begin_s in (0.5, 0.73, 0.96):
        u = (t - begin_s) / 0.1
        force += np.where((u > 0.0) & (u < 1.0), (1500.0 + 500 * begin_s) * np.sin(np.pi * u), 0.0)
    slow = np.clip((t - 2.5) / 0.8, 0.0, 1.0) * 441.0
    force += slow
    nothing = np.full(t.size, np.nan)
    trace = trace_from_cop(t, force, nothing, nothing)
    result = measure_landing(trace, stance=STANCE)
    assert len(result.landings) == 3
    told = [e for _, e in watched(trace)]
    steps = [e for e in told if e.kind == "step"]
    assert [e.time_s for e in steps] == list(result.steps_s)
    assert len(steps) == 1
    landed = [e for e in told if e.kind != "step" and e.time_s not in result.steps_s]
    assert_same(landed, expected(result))


level = st.sampled_from([0.0, 10.0, 30.0, 430.0, 445.0, 1200.0])
anything = st.lists(st.tuples(st.integers(1, 40), level), min_size=1, max_size=4)
#: Empty, a hit, and standing: sometimes long enough to be still.
landing = st.tuples(
    st.integers(6, 30), st.integers(1, 5), st.sampled_from([500.0, 900.0, 1500.0]),
    st.sampled_from([0, 15, 30, 115, 150]),
).map(lambda v: [(v[0], 0.0), (v[1], v[2]), (v[3], 441.0)])  # fmt: skip
parts = st.lists(st.one_of(landing, landing, anything), min_size=1, max_size=5)


@given(parts, st.integers(0, 2**31), st.integers(0, 3))
def test_any_stream_is_told_like_the_batch(
    parts: list[list[tuple[int, float]]], seed: int, losses: int
) -> None:
    rng = np.random.default_rng(seed)
    force = np.concatenate([np.full(count, level) for part in parts for count, level in part])
    force = np.concatenate([force, np.full(3, force[-1])])
    force = force + rng.uniform(-15.0, 15.0, force.size)
    t = np.arange(force.size) / 100.0
    keep = np.ones(t.size, dtype=np.bool_)
    if t.size > 12:
        keep[rng.integers(1, t.size - 1, losses)] = False
    t, force = t[keep], force[keep]
    x = np.where(force >= 20.0, rng.normal(0.0, 0.05, t.size), np.nan)
    trace = trace_from_cop(t, force, x, x.copy())
    result = measure_landing(trace, stance=STANCE)
    told = [e for _, e in watched(trace)]
    # A step, and an onset too late to tell, are in the batch no landings.
    contacts = [one.contact.time_s for one in result.landings]
    kept: list[LandingEvent] = []
    current = False
    for event in told:
        if event.kind == "contact":
            current = event.time_s in contacts
        if current:
            kept.append(event)
    assert_same(kept, expected(result))
    assert [e.time_s for e in told if e.kind == "step"] == list(result.steps_s)


def test_a_saturated_cell_makes_the_peak_at_least() -> None:
    watch = LandingWatch(STANCE, 100.0)
    forces = [0.0] * 20 + [600.0, 1200.0, 1800.0, 1800.0, 900.0] + [441.0] * 60
    told = [
        watch.update(n / 100.0, f, 0.0, 0.0, saturated=f == 1800.0) for n, f in enumerate(forces)
    ]
    assert [(e.kind, e.at_least) for e in told if e is not None] == [
        ("contact", False),
        ("peak", True),
    ]


def test_a_gap_ends_the_landing() -> None:
    forces = [0.0] * 20 + [600.0, 1200.0, 1800.0, 900.0] + [441.0] * 200
    for how in ("told", "time", "nan"):
        watch = LandingWatch(STANCE, 100.0)
        kinds = []
        late = 0.0
        for n, f in enumerate(forces):
            if n == 24 and how == "told":
                watch.gap()
            if n == 24 and how == "time":
                late = 0.05
            value = math.nan if n == 24 and how == "nan" else f
            event = watch.update(n / 100.0 + late, value, 0.0, 0.0)
            if event is not None:
                kinds.append(event.kind)
        assert kinds == ["contact"], how


def test_bad_times_and_rates_are_refused() -> None:
    watch = LandingWatch(STANCE, 100.0)
    watch.update(1.0, 0.0, math.nan, math.nan)
    for bad in (1.0, 0.5, math.nan, math.inf):
        with pytest.raises(SwaytrainerError, match="in order"):
            watch.update(bad, 0.0, math.nan, math.nan)
    for rate in (0.0, -80.0, 10.0, math.nan, math.inf):
        with pytest.raises(SwaytrainerError, match="too few"):
            LandingWatch(STANCE, rate)
