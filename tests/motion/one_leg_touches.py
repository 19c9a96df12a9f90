"""Simulated trials on one leg, and which touches of the other foot are seen: prints the table.

Run ``python -m tests.motion.one_leg_touches``. The body's sway on one leg is ours (two lags of
noise, about 5 mm rms to the sides, 7 mm fore and aft), no evidence about people.
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Sequence
from random import Random
from typing import NamedTuple

import numpy as np

from swaytrainer.motion.one_leg import OneLegResult, Terms, Touch, measure_one_leg
from swaytrainer.sway.cop import Array
from swaytrainer.sway.feet import Feet
from swaytrainer.sway.prepare import Trace, trace_from_cop

FEET = Feet.from_length(232.0, 180.0, -116.0)
RATE_HZ = 80.0
WEIGHT_N = 441.0


class Made(NamedTuple):
    """A touch that was made: when it begins, how long it lasts, what it bears at most."""

    start_s: float
    seconds: float
    share: float


def wander(rng: np.random.Generator, n: int, rms_mm: float, lag_s: float = 0.35) -> Array:
    """Noise behind two equal lags."""
    keep = math.exp(-1.0 / (RATE_HZ * lag_s))
    first = second = 0.0
    out = np.empty(n)
    for i, kick in enumerate(rng.normal(0.0, 1.0, n + 400).tolist()):
        first = keep * first + kick
        second = keep * second + first
        if i >= 400:
            out[i - 400] = second
    return out * (rms_mm / float(out.std()))


def one_leg_trace(
    leg: str = "left",
    seconds: float = 25.0,
    touches: Sequence[Made] = (),
    seed: int = 1,
    *,
    two_feet_s: float = 3.0,
    sway_mm: float = 5.0,
    feet: Feet = FEET,
    noise_mm: float = 0.05,
) -> Trace:
    """Two feet, over to one leg within a second, there to the end; touches by the trace's time."""
    rng = np.random.default_rng(seed)
    n = round((two_feet_s + 1.0 + seconds) * RATE_HZ)
    time_s = np.arange(n) / RATE_HZ
    home = feet.left_x_mm if leg == "left" else feet.right_x_mm
    other = feet.right_x_mm if leg == "left" else feet.left_x_mm
    over = np.clip(time_s - two_feet_s, 0.0, 1.0)
    over = over * over * (3.0 - 2.0 * over)
    borne = 0.5 * (1.0 - over)
    for made in touches:
        inside = (time_s >= made.start_s) & (time_s < made.start_s + made.seconds)
        phase = (time_s[inside] - made.start_s) / made.seconds
        # Up within the first fifth, down within the last.
        borne[inside] = made.share * np.minimum(1.0, 5.0 * np.minimum(phase, 1.0 - phase))
    x_mm = home + borne * (other - home) + over * wander(rng, n, sway_mm)
    y_mm = 0.5 * (feet.heel_y_mm + feet.ball_y_mm) - 8.0 + over * wander(rng, n, 1.4 * sway_mm)
    x_mm += rng.normal(0.0, noise_mm, n)
    force = WEIGHT_N * (1.0 + rng.normal(0.0, 0.002, n))
    return trace_from_cop(time_s, force, x_mm, y_mm)


def made_touches(rng: Random, share: float, seconds: float, count: int = 3) -> list[Made]:
    begins = [7.0 + k * 6.0 + rng.uniform(0.0, 3.0) for k in range(count)]
    return [Made(begin, seconds, share) for begin in begins]


def matched(made: Sequence[Made], seen: Sequence[Touch]) -> tuple[int, int, int]:
    """Seen, missed, and told without being made."""
    hit = sum(
        any(t.start_s < m.start_s + m.seconds and t.end_s > m.start_s for t in seen) for m in made
    )
    false = sum(
        not any(t.start_s < m.start_s + m.seconds and t.end_s > m.start_s for m in made)
        for t in seen
    )
    return hit, len(made) - hit, false


def measured(trace: Trace, terms: Terms | None = None) -> OneLegResult:
    return measure_one_leg(trace, FEET, weight_n=WEIGHT_N, terms=terms or Terms())


def confusion(share: float, seconds: float, seeds: Sequence[int], sway_mm: float) -> list[int]:
    """Seen, missed, false touches, and trials whose leg was told wrong."""
    total = [0, 0, 0, 0]
    for seed in seeds:
        leg = ("left", "right")[seed % 2]
        made = made_touches(Random(f"touch {seed}"), share, seconds) if share else []
        result = measured(one_leg_trace(leg, 25.0, made, seed, sway_mm=sway_mm))
        for k, value in enumerate((*matched(made, result.touches), int(result.leg != leg))):
            total[k] += value
    return total


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--trials", type=int, default=100)
    trials = range(parser.parse_args().trials)
    example = measured(one_leg_trace())
    print(
        f"Feet {FEET.right_x_mm - FEET.left_x_mm:.0f} mm apart; a touch can be seen from"
        f" {example.values['one_leg_visible_share_percent']:.0f} % of the weight on"
    )
    print(
        f"Sway of that body: {example.sway['mean_speed_mm_s']:.0f} mm/s,"
        f" {example.sway['rms_ml_mm']:.1f} mm rms to the sides"
    )
    for sway_mm in (5.0, 9.0):
        hit, missed, false, wrong = confusion(0.0, 0.0, trials, sway_mm)
        minutes = len(trials) * 25.0 / 60.0
        print(
            f"sway {sway_mm:g} mm, no touches, {len(trials)} trials ({minutes:.0f} min):"
            f" {false} told, {wrong} legs wrong"
        )
        for share in (0.05, 0.10, 0.15, 0.20, 0.25, 0.30, 0.40, 0.60):
            for seconds in (0.2, 0.4, 0.8):
                hit, missed, false, wrong = confusion(share, seconds, trials, sway_mm)
                print(
                    f"  {share:4.0%} of the weight for {seconds:g} s: seen {hit}, missed {missed},"
                    f" told besides {false}, legs wrong {wrong}"
                )
