"""What a low rate costs at a landing: the same jumps, whose truth is known, at several rates.

``python -m tests.motion.landing_errors`` prints bias and spread (SD) of every value for 300 built
jumps, as points and as a converter's means, and how often the stated bounds hold; then the open
jump of a real person, thinned out from 600 samples a second at every phase. ``--jumps N`` takes
fewer. The figures in the modules' texts come from here.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass, field

import numpy as np

from swaytrainer.motion.landing import measure_landing
from swaytrainer.motion.landing_find import FLIGHT_BELOW_N, find_contacts
from swaytrainer.motion.landing_settle import QuietStance
from swaytrainer.motion.landing_table import Landing
from swaytrainer.simulate.athlete import ATHLETES
from swaytrainer.simulate.jumping import Jump, Jumping, LandingTruth
from swaytrainer.sway.cop import Array, CellPlaces
from swaytrainer.sway.prepare import prepare, trace_from_cop

PLACES = CellPlaces.rectangle(220.0, 220.0)


@dataclass
class Errors:
    """Errors by name, and whether stated bounds held."""

    errors: dict[str, list[float]] = field(default_factory=dict)
    held: dict[str, list[bool]] = field(default_factory=dict)

    def add(self, name: str, error: float, within: float | None = None) -> None:
        self.errors.setdefault(name, []).append(error)
        if within is not None:
            self.held.setdefault(name, []).append(abs(error) <= within)

    def bias(self, name: str) -> float:
        return float(np.mean(self.errors[name]))

    def spread(self, name: str) -> float:
        return float(np.std(self.errors[name]))

    def share_held(self, name: str) -> float:
        return float(np.mean(self.held[name]))

    def print(self, title: str) -> None:
        print(title)
        for name, values in self.errors.items():
            held = (
                f"   bounds hold {100 * self.share_held(name):5.1f} %" if name in self.held else ""
            )
            print(
                f"  {name:17s} bias {self.bias(name):7.2f}  SD {self.spread(name):6.2f}"
                f"  worst {np.abs(values).max():7.2f}{held}"
            )


def random_jump(seed: int) -> Jumping:
    """A hop of somebody, anything between soft and hard, both feet within 30 ms."""
    rng = np.random.default_rng(seed)
    jump = Jump(
        rng.uniform(80.0, 400.0),
        first_foot="left" if rng.random() < 0.5 else "right",
        lag_s=rng.uniform(0.0, 0.03),
        right_share=rng.uniform(0.4, 0.6),
        ball_s=rng.uniform(0.025, 0.06),
        heel_s=rng.uniform(0.03, 0.08),
        heel_after_s=rng.uniform(0.01, 0.05),
        stand_s=1.5,
    )
    return Jumping(ATHLETES[seed % len(ATHLETES)], [jump], seed, quiet_s=1.5)


def compare(into: Errors, found: Landing, truth: LandingTruth) -> None:
    """Errors of one landing: ms, mm, % of the peak."""
    assert found.peak is not None
    height = found.height_mm - truth.height_mm
    into.add("flight ms", 1e3 * (found.flight_s - truth.flight_s), 1e3 * found.flight_within_s)
    into.add("height mm", height, found.height_within_mm)
    if not np.isnan(found.impulse_height_mm):
        into.add("impulse height mm", found.impulse_height_mm - truth.height_mm)
    into.add(
        "contact ms",
        1e3 * (found.contact.time_s - truth.contact_s),
        1e3 * found.contact.within_s,
    )
    into.add(
        "peak %",
        100.0 * (found.peak_bw / truth.peak_bw - 1.0),
        100.0 * found.peak.short_n / found.peak.force_n * found.peak_bw / truth.peak_bw,
    )
    loading = 1e3 * (found.loading_s - (truth.peak_s - truth.contact_s))
    into.add("loading ms", loading, 1e3 * found.loading_within_s)
    lag_s = truth.second_foot_s - truth.contact_s
    if not np.isnan(found.feet.lag_s):
        into.add("lag ms", 1e3 * (found.feet.lag_s - lag_s), 1e3 * found.feet.lag_within_s)
        into.add("even ms", 1e3 * (found.feet.even_s - lag_s))


def plain_flights_s(time_s: Array, force_n: Array) -> tuple[float, float]:
    """What simpler ways give: a straight line to the threshold, and the intervals' middles."""
    contact = find_contacts(time_s, force_n)[-1]
    last, first = contact.last_before, contact.first

    def line(outer: int, inner: int) -> float:
        part = (FLIGHT_BELOW_N - force_n[outer]) / (force_n[inner] - force_n[outer])
        return float(time_s[outer] + part * (time_s[inner] - time_s[outer]))

    middle = 0.5 * float(time_s[first] + time_s[first - 1] - time_s[last] - time_s[last + 1])
    return line(first - 1, first) - line(last + 1, last), middle


def built(rate_hz: float, jumps: int, *, averaged: bool = False) -> Errors:
    """Over that many built jumps, each at a phase of its own."""
    result = Errors()
    for seed in range(jumps):
        jumping = random_jump(seed)
        phase = float(np.random.default_rng(seed + 10_000).random())
        got = jumping.sample(rate_hz, seed, phase=phase, averaged=averaged)
        trace = prepare(got.time_s, got.loads_n, PLACES, cutoff_hz=None)
        stance = QuietStance(jumping.weight_n, 8.0)
        (found,) = measure_landing(trace, jumping.feet, stance=stance).landings
        truth = jumping.truths()[0]
        compare(result, found, truth)
        line_s, middle_s = plain_flights_s(trace.time_s, trace.force_n)
        result.add("flight, line ms", 1e3 * (line_s - truth.flight_s))
        result.add("flight, middle ms", 1e3 * (middle_s - truth.flight_s))
    return result


def thinned(time_s: Array, force_n: Array, weight_n: float, rate_hz: float, phases: int) -> Errors:
    """A recorded jump at a lower rate, against itself at its own rate."""

    def landing_of(t: Array, f: Array) -> Landing:
        nothing = np.full(t.size, np.nan)
        trace = trace_from_cop(t, f, nothing, nothing)
        return measure_landing(trace, stance=QuietStance(weight_n, 8.0)).landings[-1]

    full = landing_of(time_s, force_n)
    assert full.peak is not None
    truth = LandingTruth(
        full.takeoff.time_s,
        full.contact.time_s,
        np.nan,
        full.flight_s,
        full.height_mm,
        full.peak.time_s,
        full.peak_bw,
        np.nan,
    )
    result = Errors()
    for phase in (np.arange(phases) + 0.5) / phases:
        t = np.arange(time_s[0] + phase / rate_hz, time_s[-1], 1.0 / rate_hz)
        force = np.interp(t, time_s, force_n)
        compare(result, landing_of(t, force), truth)
        line_s, middle_s = plain_flights_s(t, force)
        result.add("flight, line ms", 1e3 * (line_s - truth.flight_s))
        result.add("flight, middle ms", 1e3 * (middle_s - truth.flight_s))
    return result


def main() -> None:
    """Print all figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jumps", type=int, default=300)
    jumps = parser.parse_args().jumps
    for rate_hz in (80.0, 200.0, 1000.0):
        built(rate_hz, jumps).print(f"built, {rate_hz:g}/s, points")
    built(80.0, jumps, averaged=True).print("built, 80/s, means over an interval")
    from tests.motion.test_landing_open import jump_weight_n, open_jump

    time_s, force_n = open_jump()
    for rate_hz in (80.0, 200.0):
        thinned(time_s, force_n, jump_weight_n(), rate_hz, 100).print(f"real, {rate_hz:g}/s")


if __name__ == "__main__":
    main()
