"""Cadence, phase and absorption while they happen."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.motion.cadence import CADENCE_HIGH_HZ, CADENCE_LOW_HZ
from swaytrainer.motion.live_absorption import MEMORY, LiveAbsorbed, LiveAbsorption
from swaytrainer.motion.live_strides import Kind, LiveCadence, LiveStrides
from swaytrainer.simulate.riding import (
    BOUNCING,
    CANTER,
    LEGS,
    RIGID,
    SUPPLE,
    Accelerometer,
    Legs,
    MovingBase,
    Ride,
)
from tests.motion.rides import PLATE_KG, ridden

HEARD = Accelerometer(80.0)


def followed(made: Ride, live: LiveStrides) -> list[LiveCadence]:
    out = []
    for time_s, value in zip(made.time_s.tolist(), made.plate_m_s2.tolist(), strict=True):
        live.update(time_s, value)
        out.append(live.get())
    return out


def lived(made: Ride, live: LiveAbsorption) -> list[LiveAbsorbed]:
    """Every number once."""
    out: list[LiveAbsorbed] = []
    force = made.loads_n.sum(axis=1)
    rows = zip(made.time_s.tolist(), force.tolist(), made.plate_m_s2.tolist(), strict=True)
    for row in rows:
        live.update(*row)
        now = live.get()
        if now.strides and not (out and out[-1].time_s == now.time_s):
            out.append(now)
    return out


@pytest.mark.parametrize("cadence_hz", [0.8, 1.8, 3.0])
def test_cadence_and_phase_are_known_soon_and_right(cadence_hz: float) -> None:
    base = MovingBase(8.0, cadence_hz, 0.0, 0.0, CANTER, still_s=4.0)
    made = ridden(base, RIGID, 4.0 + 12.0 / cadence_hz, seed=1, accelerometer=HEARD)
    seen = [s for s in followed(made, LiveStrides(80.0, "acceleration")) if s.time_s > 4.0]
    first = next(s for s in seen if not math.isnan(s.cadence_hz))
    assert (first.time_s - 4.0) * cadence_hz < 2.6
    steady = [s for s in seen if (s.time_s - 4.0) * cadence_hz > 4.0]
    assert [s.cadence_hz for s in steady] == pytest.approx([cadence_hz] * len(steady), rel=0.04)
    true = np.interp(
        [s.time_s for s in steady],
        made.onsets_s,
        np.arange(made.onsets_s.size),
        right=math.nan,
    )
    off = (np.array([s.phase for s in steady]) - true + 0.5) % 1.0 - 0.5
    assert float(np.nanmax(np.abs(off))) < 0.12
    turned = steady[-1].turns - steady[0].turns
    assert turned == pytest.approx((steady[-1].time_s - steady[0].time_s) * cadence_hz, abs=0.3)


def test_turns_never_go_back() -> None:
    base = MovingBase(10.0, 1.8, 0.15, 0.15, CANTER)
    made = ridden(base, SUPPLE, 15.0, seed=2, accelerometer=HEARD)
    seen = followed(made, LiveStrides(80.0, "acceleration"))
    first = next(i for i, s in enumerate(seen) if not math.isnan(s.cadence_hz))
    turns = [s.turns for s in seen[first:]]
    assert all(b >= a for a, b in pairwise(turns))
    late_s = seen[first].time_s
    whole = int(((made.onsets_s > late_s) & (made.onsets_s < seen[-1].time_s)).sum())
    assert turns[-1] == pytest.approx(whole, abs=1.5)


def test_a_gap_is_a_fresh_start() -> None:
    made = ridden(MovingBase(15.0, 1.8), RIGID, 6.0, accelerometer=HEARD)
    fresh, used = LiveStrides(80.0, "acceleration"), LiveStrides(80.0, "acceleration")
    followed(made, used)
    used.gap()
    assert math.isnan(used.get().cadence_hz)
    assert repr(followed(made, used)) == repr(followed(made, fresh))


def test_nothing_that_comes_later_changes_what_was_said() -> None:
    made = ridden(MovingBase(15.0, 1.8, 0.1), RIGID, 6.0, accelerometer=HEARD)
    other = made._replace(plate_m_s2=np.where(made.time_s > 4.0, 9.0, made.plate_m_s2))
    a, b = (followed(m, LiveStrides(80.0, "acceleration")) for m in (made, other))
    assert repr(a[:320]) == repr(b[:320])
    assert repr(a) != repr(b)


SPELLS = st.lists(
    st.tuples(
        st.integers(1, 150),  # samples
        st.sampled_from([0.0125, 0.0125, 0.0125, 0.0, -0.01, 0.3, math.nan]),  # step, s
        st.floats(0.0, 30.0),  # how strongly it swings
        st.floats(0.1, 20.0),  # Hz
        st.sampled_from([0.0, 0.0, 0.0, 500.0, -500.0, math.nan, math.inf, -math.inf]),
    ),
    max_size=8,
)


@settings(max_examples=30, deadline=None)
@given(spells=SPELLS, kind=st.sampled_from(["acceleration", "force", "COP"]))
def test_any_input_gives_a_cadence_or_none(
    spells: list[tuple[int, float, float, float, float]], kind: Kind
) -> None:
    live = LiveStrides(80.0, kind)
    absorbing = LiveAbsorption(80.0, accelerometer=kind == "acceleration")
    time_s = 0.0
    for count, step_s, size, hertz, level in spells:
        for n in range(count):
            value = level + size * math.sin(2.0 * math.pi * hertz * n / 80.0)
            time_s = time_s + step_s if math.isfinite(step_s) else time_s
            stamp_s = time_s if math.isfinite(step_s) else math.nan
            live.update(stamp_s, value)
            absorbing.update(stamp_s, 500.0 + 10.0 * value, value)
            now = live.get()
            # The limits of LiveStrides: a fifth beyond a horse's cadences, as periods.
            within = CADENCE_LOW_HZ / 1.25 <= now.cadence_hz <= CADENCE_HIGH_HZ / 0.8
            assert math.isnan(now.cadence_hz) or within
            assert math.isnan(now.phase) or 0.0 <= now.phase <= 1.0
            read = absorbing.get()
            assert math.isnan(read.absorption_percent) != (read.reason == "")


def test_standing_still_is_no_riding() -> None:
    live = LiveStrides(80.0, "force")
    rng = np.random.default_rng(3)
    for n in range(1600):
        live.update(n / 80.0, 500.0 + rng.standard_normal())
        assert math.isnan(live.get().cadence_hz)


@pytest.mark.parametrize("legs", LEGS.values(), ids=LEGS)
def test_a_number_within_three_strides_and_one_each_stride(legs: Legs) -> None:
    made = ridden(MovingBase(10.0, 1.8, still_s=3.0), legs, 15.0, seed=4, accelerometer=HEARD)
    live = LiveAbsorption(80.0, accelerometer=True, plate_mass_kg=PLATE_KG)
    said = lived(made, live)
    assert (said[0].time_s - 3.0) * 1.8 < 2.5
    times = np.diff([s.time_s for s in said])
    assert float(np.median(times)) == pytest.approx(1.0 / 1.8, rel=0.05)
    assert len(said) == pytest.approx((15.0 - said[0].time_s) * 1.8, abs=2)
    true = 100.0 * (1.0 - legs.transmissibility(1.8))
    steady = [s for s in said if s.time_s > 3.0 + 6.0 / 1.8]
    assert [s.absorption_percent for s in steady] == pytest.approx([true] * len(steady), abs=4.0)
    assert {s.strides for s in steady} == {MEMORY}


def test_uneven_strides_live() -> None:
    base = MovingBase(10.0, 1.8, 0.15, 0.15, CANTER)
    for legs, within in ((RIGID, 2.0), (SUPPLE, 5.0), (BOUNCING, 25.0)):
        made = ridden(base, legs, 20.0, seed=5, accelerometer=HEARD, sway=True)
        said = lived(made, LiveAbsorption(80.0, accelerometer=True, plate_mass_kg=PLATE_KG))
        found = np.array([s.absorption_percent for s in said])
        true = 100.0 * (1.0 - legs.transmissibility(1.8))
        assert float(np.isnan(found).mean()) < 0.25
        assert float(np.nanmedian(found)) == pytest.approx(true, abs=within)


def test_the_ripple_live_without_an_accelerometer() -> None:
    made = ridden(MovingBase(30.0, 1.8), RIGID, 10.0, plate_kg=0.0, accelerometer=HEARD)
    said = lived(made, LiveAbsorption(80.0, accelerometer=False))
    assert said[-1].force_ripple_percent == pytest.approx(27.7, abs=0.5)
    assert math.isnan(said[-1].absorption_percent)
    assert "without an accelerometer" in said[-1].reason


def test_hops_of_ones_own_are_not_measurable() -> None:
    made = ridden(MovingBase(5.0, 1.8), SUPPLE, 15.0, accelerometer=HEARD)
    t = made.time_s
    hops = 60.0 * np.cos(2.0 * np.pi * 2.3 * t)[:, None]
    said = lived(
        made._replace(loads_n=made.loads_n + hops),
        LiveAbsorption(80.0, accelerometer=True, plate_mass_kg=PLATE_KG),
    )
    unknown = [s for s in said if math.isnan(s.absorption_percent)]
    assert len(unknown) > 0.6 * len(said)
    assert all("coherence" in s.reason for s in unknown)


def test_gravity_left_in_the_acceleration_does_no_harm() -> None:
    made = ridden(MovingBase(20.0, 1.8), SUPPLE, 8.0, accelerometer=HEARD)
    felt = made._replace(plate_m_s2=made.plate_m_s2 + 9.807)
    out, within = (
        lived(m, LiveAbsorption(80.0, accelerometer=True, plate_mass_kg=PLATE_KG))
        for m in (made, felt)
    )
    assert within[-1].absorption_percent == pytest.approx(out[-1].absorption_percent, abs=1e-6)
    assert within[-1].force_ripple_percent == pytest.approx(out[-1].force_ripple_percent, abs=1e-6)


def test_kilograms_are_told() -> None:
    made = ridden(MovingBase(20.0, 1.8), RIGID, 6.0, accelerometer=HEARD)
    said = lived(
        made._replace(loads_n=made.loads_n / 9.80665), LiveAbsorption(80.0, accelerometer=True)
    )
    assert all(math.isnan(s.absorption_percent) for s in said)
    assert all(math.isnan(s.force_ripple_percent) for s in said)
    assert "kilograms" in said[-1].reason


def test_a_stop_ends_the_numbers_and_a_new_start_begins_anew() -> None:
    moving = ridden(MovingBase(15.0, 1.8), SUPPLE, 6.0, accelerometer=HEARD)
    live = LiveAbsorption(80.0, accelerometer=True, plate_mass_kg=PLATE_KG)
    assert lived(moving, live)[-1].strides == MEMORY
    for n in range(400):
        live.update(6.0 + n / 80.0, 441.0, 0.0)
    assert live.get().strides == 0
    assert "no two strides" in live.get().reason
    again = moving._replace(time_s=moving.time_s + 11.0)
    assert lived(again, live)[-1].absorption_percent == pytest.approx(55.3, abs=3.0)


def test_what_cannot_be_is_refused() -> None:
    for rate_hz in (0.0, 10.0, math.nan, math.inf):
        with pytest.raises(SwaytrainerError, match="too few"):
            LiveStrides(rate_hz, "force")
    with pytest.raises(SwaytrainerError, match="zero or above"):
        LiveAbsorption(80.0, accelerometer=True, plate_mass_kg=-1.0)


@pytest.mark.parametrize("rate_hz", [50.0, 200.0, 1000.0])
def test_any_rate_will_do(rate_hz: float) -> None:
    live = LiveAbsorption(rate_hz, accelerometer=True)
    for n in range(int(5.0 * rate_hz)):
        base = 3.0 * math.cos(2.0 * math.pi * 2.0 * n / rate_hz)
        live.update(n / rate_hz, 45.0 * (9.80665 + 0.4 * base), base)
    assert live.get().absorption_percent == pytest.approx(60.0, abs=1.0)
    assert live.get().cadence_hz == pytest.approx(2.0, rel=0.02)
