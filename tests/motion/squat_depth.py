"""How well squats are counted and measured over many simulated trials: prints the table.

Run ``python -m tests.motion.squat_depth``; ``--trials`` for another number of each.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from dataclasses import replace
from random import Random
from typing import NamedTuple

import numpy as np

from swaytrainer.motion.squat import SquatResult, measure_squat
from swaytrainer.simulate.athlete import ADULT, CHILD, HEAVY_ADULT, JUNIOR, Athlete
from swaytrainer.simulate.body import ORDINARY, RESTLESS, Manner
from swaytrainer.simulate.squatting import Hand, Heels, Squat, SquatTrial, squat_trial
from swaytrainer.sway.cop import CellPlaces
from swaytrainer.sway.prepare import prepare

PLACES = CellPlaces.rectangle(220.0, 220.0)
#: 25 to 100 kg.
SMALL = Athlete("Ivo Tannhuber, 8", 25.0, 1.28, 198.0, 150.0)
LARGE = Athlete("Gesa Rautenbach, 30", 100.0, 1.90, 285.0, 230.0)
SIZES = (SMALL, CHILD, JUNIOR, ADULT, HEAVY_ADULT, LARGE)


class Case(NamedTuple):
    """A trial that was made, and what was measured of it."""

    trial: SquatTrial
    result: SquatResult
    deep: tuple[Squat, ...]
    shallow: tuple[Squat, ...]


def measured(trial: SquatTrial, *, weight_n: float | None = None) -> SquatResult:
    trace = prepare(trial.time_s, trial.loads_n, PLACES)
    return measure_squat(trace, trial.feet, weight_n=weight_n)


def random_squats(rng: Random) -> list[Squat]:
    """Three to seven, deep and shallow, with and without holds, pauses half-way and rests."""
    squats: list[Squat] = []
    for _ in range(rng.randrange(3, 8)):
        shallow = rng.random() < 0.25
        squats.append(
            Squat(
                rng.uniform(40.0, 65.0) if shallow else rng.uniform(100.0, 380.0),
                down_s=rng.uniform(0.7, 1.4) if shallow else rng.uniform(0.8, 3.0),
                hold_s=rng.choice([0.0, 0.3, 1.0, 2.5]),
                up_s=rng.uniform(0.7, 1.4) if shallow else rng.uniform(0.8, 2.5),
                rest_s=rng.choice([0.0, 0.4, 1.0, 2.0]),
                end_mm=0.0 if shallow else rng.gauss(0.0, 5.0),
                half_way_s=0.0 if shallow else rng.choice([0.0, 0.0, 0.0, 0.8]),
            )
        )
    return squats


def cases(seeds: Sequence[int], rate_hz: float = 80.0, manner: Manner = ORDINARY) -> Iterator[Case]:
    for seed in seeds:
        rng = Random(f"squats {seed}")
        squats = random_squats(rng)
        trial = squat_trial(
            rng.choice(SIZES),
            squats,
            rate_hz,
            seed,
            manner=manner,
            drift_n_s=rng.gauss(0.0, 0.0005),
        )
        deep = tuple(s for s in squats if s.depth_mm >= 80.0)
        shallow = tuple(s for s in squats if s.depth_mm < 80.0)
        yield Case(trial, measured(trial), deep, shallow)


def depth_errors(case: Case) -> list[tuple[float, float]]:
    """Error and stated uncertainty of each depth, where the number of squats is right."""
    found = case.result.repetitions
    if len(found) != len(case.deep):
        return []
    return [
        (r.depth_mm - s.depth_mm, r.depth_u95_mm)
        for r, s in zip(found, case.deep, strict=True)
        if not np.isnan(r.depth_mm)
    ]


def heel_trials(seeds: Sequence[int], loss_mm: float, squats: int = 5) -> list[float]:
    """The measured depth of heel-loss in one trial of ``squats``, seed by seed."""
    values = []
    for seed in seeds:
        trial = squat_trial(
            SIZES[seed % len(SIZES)],
            [Squat(250.0)] * squats,
            80.0,
            seed,
            heels=Heels(toe_share_percent=40.0, loss_depth_mm=loss_mm),
        )
        values.append(measured(trial).values["squat_heel_loss_depth_mm"])
    return values


def _counts(trials: int) -> None:
    for rate_hz, manner in (80.0, ORDINARY), (80.0, RESTLESS), (1000.0, ORDINARY):
        right = wrong = silent = dips = 0
        errors: list[tuple[float, float]] = []
        many = trials if rate_hz < 500.0 else trials // 5
        for case in cases(range(many), rate_hz, manner):
            said = case.result.values["squat_repetitions"]
            silent += np.isnan(said)
            right += said == len(case.deep)
            wrong += not np.isnan(said) and said != len(case.deep)
            dips += case.result.values["squat_partial_dips"] == len(case.shallow)
            errors += depth_errors(case)
        off, stated = np.array(errors).T
        print(
            f"{rate_hz:.0f} Hz, {manner.name}, {many} trials: counted right {right}, wrong {wrong},"
            f" refused {silent}; partial dips right too in {dips};"
            f" {off.size} depths: bias {off.mean():+.1f}, SD {off.std():.1f},"
            f" worst {np.abs(off).max():.1f} mm; within the stated uncertainty"
            f" ({stated.min():.0f} to {stated.max():.0f} mm)"
            f" {100 * np.mean(abs(off) < stated):.1f} %"
        )


def _slow(trials: int) -> None:
    print("A single squat of 300 mm, by how long each way takes:")
    for way_s in (1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 9.0, 12.0):
        counted, depths = [], []
        for seed in range(trials):
            trial = squat_trial(JUNIOR, [Squat(300.0, way_s, 0.5, way_s)], 80.0, seed)
            values = measured(trial).values
            counted.append(values["squat_repetitions"])
            depths.append(values["squat_depth_mm"])
        c, d = np.array(counted), np.array(depths)
        known = d[np.isfinite(d)]
        print(
            f"  {way_s:4.1f} s: counted 1 in {np.sum(c == 1)}, 0 in {np.sum(c == 0)}, refused"
            f" {np.sum(np.isnan(c))}; depth refused in {np.sum(np.isnan(d))}"
            + (f", worst error {np.abs(known - 300).max():.1f} mm" if known.size else "")
        )


def _disturbed() -> None:
    print("What a fault does to a squat of 250 mm (junior, 80 Hz), error of the depth:")
    once = [Squat(250.0)]

    def error(text: str, trial: SquatTrial) -> None:
        result = measured(trial)
        print(f"  {text}: {result.values['squat_depth_mm'] - 250.0:+.1f} mm {result.notes or ''}")

    error("nothing", squat_trial(JUNIOR, once, seed=1))
    error("cell noise 10 times (0.18 N)", squat_trial(JUNIOR, once, seed=1, cell_noise_n=0.18))
    error("zero drifting 0.01 N/s a cell", squat_trial(JUNIOR, once, seed=1, drift_n_s=0.01))
    error("tare wrong by 5 N", _plus(squat_trial(JUNIOR, once, seed=1), 1.25))
    error("gain wrong by 3 %", _times(squat_trial(JUNIOR, once, seed=1), 1.03))
    tilted = squat_trial(JUNIOR, once, seed=1)
    error("plate 2 degrees down forward, body 30 mm forward", tilt(tilted, 2.0, 30.0 / 250.0))
    error("ends 10 mm lower", squat_trial(JUNIOR, [Squat(250.0, end_mm=-10.0)], seed=1))
    for share, seconds in (0.02, 0.3), (0.05, 0.3), (0.05, 1.0), (0.10, 3.0):
        hand = [Hand(4.0, 4.0 + seconds, share)]
        error(f"hand bears {share:.0%} for {seconds:g} s", squat_trial(JUNIOR, once, hands=hand))


def tilt(trial: SquatTrial, degrees: float, forward_share: float) -> SquatTrial:
    """The same on a plate tilted down forward, the body going forward by a share of the depth.

    Normal to the plate are F·cos α and, of the forward acceleration, m·a·sin α.
    """
    force = trial.loads_n.sum(axis=1)
    alpha = np.radians(degrees)
    new = force * np.cos(alpha) + forward_share * (force - trial.weight_n) * np.sin(alpha)
    return replace(trial, loads_n=trial.loads_n * (new / force)[:, None])


def _plus(trial: SquatTrial, each_n: float) -> SquatTrial:
    return replace(trial, loads_n=trial.loads_n + each_n)


def _times(trial: SquatTrial, gain: float) -> SquatTrial:
    return replace(trial, loads_n=trial.loads_n * gain)


def _heels(trials: int) -> None:
    print("Heels lose their share (toe share 40 % standing, edge 50 %), squats of 250 mm:")
    for loss in (100.0, 150.0, 200.0):
        for squats in (1, 5):
            v = np.array(heel_trials(range(trials), loss, squats))
            known = v[np.isfinite(v)]
            print(
                f"  at {loss:.0f} mm, {squats} squats: mean {known.mean():.0f}, SD between trials"
                f" {known.std(ddof=1):.0f} mm, none told in {np.sum(np.isnan(v))} of {trials}"
            )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--trials", type=int, default=300)
    wanted = parser.parse_args().trials
    _counts(wanted)
    _slow(max(5, wanted // 15))
    _disturbed()
    _heels(max(20, wanted // 5))
