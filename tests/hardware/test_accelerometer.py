"""The plate's accelerometer on the simulated chip's bus, read by the real host beside the loads."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from statistics import median

import pytest

from swaytrainer.board import wire
from tests.hardware.bench import Felt, Run, play
from tests.hardware.test_chip import (
    MINUTES,
    judge,
    nothing_is_lost,
    rates,
    stamps_are_right,
    write_script,
)

#: 2 mg a digit; 1 g is 9,806.65 mm/s² (3rd CGPM, 1901).
MM_S2_PER_DIGIT = 0.002 * 9806.65
MISSING, AT_END, SELF_TEST = 1, 2, 4
#: The status is looked at every 0.5 ms; a read of the converters and its frame may come between.
STAMP_WITHIN_US = 1500.0
#: The chip's own self-test comes first.
START_S = 0.08
#: A load's stamp: the bus's interrupt may be under way when a line falls, too.
LOAD_STAMP_WITHIN_US = 40.0
#: Three times it settles for 8 readings, twice it averages 4: that is taken and not told.
TAKEN_FOR_THE_TEST = 3 * 8 + 2 * 4

WITH_SENSOR = ("--accel", 100, "--jitter", 0.001, "--rates", rates(0.01))
APART = ("--offsets", "0,3100,7000,9900")


def chip_offset_us(met: Run) -> float:
    """The model's time minus the board's, by the loads."""
    return median(max(t.edge_us) - s.time_us for s, t in zip(met.samples, met.truth, strict=True))


def late_us(met: Run, sent: Sequence[wire.Acceleration], felt: Sequence[Felt]) -> list[float]:
    """Each acceleration is the sensor's, digit for digit and in order; how late its stamp is."""
    offset_us = chip_offset_us(met)
    late = []
    for reading, result in zip(sent, felt, strict=True):
        exact = [d * MM_S2_PER_DIGIT for d in result.digits]
        assert list(reading[3:]) == pytest.approx(exact, abs=0.5)
        late.append(reading.time_us + offset_us - result.edge_us)
    return late


def told(met: Run) -> list[Felt]:
    """The results that were to be told; the last may still have been on its way."""
    return met.felt[TAKEN_FOR_THE_TEST:][: len(met.accelerations)]


def both_are_whole(met: Run) -> None:
    """Loads and accelerations of a run without a fault."""
    judge(met.samples, met.truth)
    stamps_are_right(met.samples, met.truth, LOAD_STAMP_WITHIN_US)
    nothing_is_lost(met)
    assert len(met.felt) - TAKEN_FOR_THE_TEST - len(met.accelerations) in (0, 1)
    assert met.met["accel_replaced"] == 0  # none was taken too late
    late = late_us(met, met.accelerations, told(met))
    assert max(late) < STAMP_WITHIN_US
    assert min(late) > -STAMP_WITHIN_US
    assert abs(median(late)) < 100.0


@pytest.mark.parametrize("rate_hz", [90, 100, 115])
def test_loads_and_accelerations_arrive_whole_side_by_side(rate_hz: float) -> None:
    seconds = 60 * MINUTES if rate_hz == 100 else 8
    met = play(seconds, *WITH_SENSOR, *APART, "--accel", rate_hz)
    both_are_whole(met)
    assert {a.status for a in met.accelerations} == {0}
    assert len(met.accelerations) == pytest.approx(
        rate_hz * (seconds - START_S) - TAKEN_FOR_THE_TEST, abs=5
    )
    assert all(h.features == wire.FEATURE_ACCELEROMETER for h in met.hellos)
    assert all((h.wire_major, h.wire_minor) == (1, 1) for h in met.hellos)
    # The bus stretches no pulse of the converters, nor a read: 60 and 200 µs are the limits.
    assert met.met["clock_high_max_us"] <= 1.0
    assert met.met["read_max_us"] < 100.0
    assert met.met["bus_hz"] == 200_000.0
    assert met.met["arbitrations_lost"] == 0


def test_the_other_address_does_too() -> None:
    met = play(4, *WITH_SENSOR, "--accel-address", 0x19)
    both_are_whole(met)
    assert len(met.accelerations) > 300
    assert met.hello.features == wire.FEATURE_ACCELEROMETER


def test_scripted_accelerations_arrive_scaled_and_stamped(tmp_path: Path) -> None:
    """What the plate does is worked out here, from the stamp alone."""
    rows = [(-20_000.0, 3_000.0, 9_806.65), (20_000.0, -3_000.0, 0.0), (0.0, 0.0, 9_806.65)]
    still = [(0.0, 0.0, 9_806.65)]
    script = write_script(tmp_path / "script", 0.25, [*still, *still, *rows])
    met = play(16, *WITH_SENSOR, "--accel-script", script)
    offset_us = chip_offset_us(met)
    judged = 0
    for reading in met.accelerations:
        at = (reading.time_us + offset_us) / 4e6
        if not 2.0 <= at < 3.0:
            continue
        exact = [a + (b - a) * (at - 2.0) for a, b in zip(rows[0], rows[1], strict=True)]
        # Half a digit, and the ramp's 10 mm/s² a ms times the stamp's error.
        assert list(reading[3:]) == pytest.approx(exact, abs=10.0 + 1e-2 * STAMP_WITHIN_US)
        judged += 1
    assert judged > 380
    # At rest: a standing plate feels 1 g upwards.
    assert met.accelerations[0][3:] == (0, 0, 9807)


def test_the_end_of_its_range_is_told_with_the_value(tmp_path: Path) -> None:
    """A hard landing: z beyond 4 g, the others in range."""
    rest, hard = (0.0, 0.0, 9_806.65), (0.0, -2_000.0, 60_000.0)
    script = write_script(tmp_path / "script", 1.0, [rest, rest, rest, hard, hard, rest, rest])
    met = play(6, *WITH_SENSOR, "--accel-script", script)
    at_end = [a for a in met.accelerations if a.z_mm_s2 == round(2047 * MM_S2_PER_DIGIT)]
    assert len(at_end) > 100
    assert all(a.status == (AT_END if a in at_end else 0) for a in met.accelerations)
    nothing_is_lost(met)


def test_without_a_sensor_the_loads_are_as_they_were_and_the_hello_says_so() -> None:
    met = play(20, "--rates", rates(0.01), *APART, "--jitter", 0.0005)
    judge(met.samples, met.truth)
    stamps_are_right(met.samples, met.truth)
    nothing_is_lost(met)
    assert met.accelerations == []
    assert {h.features for h in met.hellos} == {0}
    assert met.met["clock_high_max_us"] <= 1.0
    assert met.met["awake_percent"] < 20.0


# ---- faults ---------------------------------------------------------------------------------


def statuses(met: Run, from_s: float, to_s: float) -> set[int]:
    """Statuses of the accelerations in a stretch of the model's time."""
    offset_us = chip_offset_us(met)
    return {a.status for a in met.accelerations if from_s <= (a.time_us + offset_us) * 1e-6 < to_s}


@pytest.mark.parametrize(
    ("fault", "heals"),
    [
        ("sensor-off", "sensor-on"),
        ("hold-sda=1000000", "let-go"),
        ("hold-scl", "let-go"),
    ],
)
def test_a_lost_sensor_is_told_and_taken_up_again(fault: str, heals: str) -> None:
    met = play(9, *WITH_SENSOR, *APART, at=[(3.0, fault), (5.0, heals)])
    # Not a load is lost, late or wrong meanwhile.
    judge(met.samples, met.truth)
    stamps_are_right(met.samples, met.truth, LOAD_STAMP_WITHIN_US)
    nothing_is_lost(met)
    assert met.met["clock_high_max_us"] <= 1.0
    assert statuses(met, 0.5, 2.95) == {0}
    assert statuses(met, 3.05, 5.0) == {MISSING}
    # It is searched every 0.1 s, and tested anew.
    assert statuses(met, 5.6, 9.0) == {0}
    missing = [a for a in met.accelerations if a.status]
    assert 20 <= len(missing) <= 30
    assert {a[3:] for a in missing} == {(0, 0, 0)}
    # Every value that came is one that the sensor had: none of a transfer that was cut.
    had = {tuple(round(d * MM_S2_PER_DIGIT) for d in f.digits) for f in met.felt}
    assert all(tuple(a[3:]) in had for a in met.accelerations if not a.status)
    assert all(h.features == wire.FEATURE_ACCELEROMETER for h in met.hellos)


def test_a_line_that_is_held_in_the_middle_of_a_byte_is_clocked_free() -> None:
    """Nine clocks by hand let the sensor end its byte; with fewer it would hold on."""
    met = play(8, *WITH_SENSOR, at=[(3.0, "hold-sda=9")])
    judge(met.samples, met.truth)
    nothing_is_lost(met)
    assert statuses(met, 3.6, 8.0) == {0}
    assert MISSING in statuses(met, 3.0, 3.2)
    # By hand: nine and a stop's at the start, and the same once more.
    assert met.met["bus_clocks_by_hand"] == pytest.approx(20, abs=2)


def after_a_reset(met: Run) -> list[wire.Frame]:
    """All frames since the board began anew."""
    assert met.met["resets"] == 1
    again = next(n for n, f in enumerate(met.frames) if n > 5 and f.sequence == 0)
    return met.frames[again:]


def test_a_reset_in_the_middle_of_a_transfer_leaves_a_bus_that_works() -> None:
    """The sensor holds the line until it has sent its byte; the board clocks that out."""
    met = play(4, *WITH_SENSOR, at=[(1.5, "reset-in-transfer")])
    frames = after_a_reset(met)
    assert isinstance(frames[0], wire.Hello)
    assert frames[0].features == wire.FEATURE_ACCELEROMETER
    after = [f for f in frames if isinstance(f, wire.Acceleration)]
    assert len(after) > 150
    assert {a.status for a in after} == {0}


def test_with_fewer_clocks_the_sensor_would_hold_on() -> None:
    """So the test above can fail, and the clocks are needed."""
    met = play(2, *WITH_SENSOR, at=[(1.5, "reset-in-transfer")], variant="one clock")
    frames = after_a_reset(met)
    assert isinstance(frames[0], wire.Hello)
    assert frames[0].features == 0
    # The loads don't feel it: what follows the start is right.
    after = [f for f in frames if isinstance(f, wire.Sample)]
    judge(after, met.truth[-len(after) :])


def test_a_sensor_that_forgot_its_settings_is_set_anew() -> None:
    met = play(6, *WITH_SENSOR, at=[(3.0, "sensor-forget")])
    judge(met.samples, met.truth)
    nothing_is_lost(met)
    assert MISSING in statuses(met, 3.0, 3.5)
    assert statuses(met, 3.9, 6.0) == {0}


def test_a_sensor_that_comes_later_is_told_at_once() -> None:
    met = play(5, *WITH_SENSOR, at=[(0.0, "sensor-off"), (2.35, "sensor-on")])
    judge(met.samples, met.truth)
    nothing_is_lost(met)
    features = [h.features for h in met.hellos]
    assert features[0] == 0
    assert features == sorted(features)
    assert features[-1] == wire.FEATURE_ACCELEROMETER
    # The hello that tells of it comes before the first acceleration.
    first = next(n for n, f in enumerate(met.frames) if isinstance(f, wire.Acceleration))
    before = [f for f in met.frames[:first] if isinstance(f, wire.Hello)]
    assert before[-1].features == wire.FEATURE_ACCELEROMETER
    assert {a.status for a in met.accelerations} == {0}


def test_a_failed_self_test_is_told_with_every_value() -> None:
    met = play(4, *WITH_SENSOR, at=[(0.0, "sensor-weak")])
    judge(met.samples, met.truth)
    nothing_is_lost(met)
    assert {a.status for a in met.accelerations} == {SELF_TEST}
    assert len(met.accelerations) > 200  # it tries three times, then it goes on
    had = {tuple(round(d * MM_S2_PER_DIGIT) for d in f.digits) for f in met.felt}
    assert all(tuple(a[3:]) in had for a in met.accelerations)
