"""How often is the cadence found? ``python -m tests.motion.cadences [--seeds N]`` prints it.

Cadences from 0.8 to 3 Hz, strides of ± 15 % in time and height, with and without harmonics, sensor
noise and drift, 20 s, from acceleration, from force and from the COP of a base that only rocks.
Right: within 8 % of the true mean. Live: the median of what is said from the third second on; right
within 15 %, for it is of the last three seconds' strides only.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterable
from typing import NamedTuple

import numpy as np

from swaytrainer.motion.cadence import Signal, find_cadence, stride_signal
from swaytrainer.motion.live_strides import LiveStrides
from swaytrainer.simulate.riding import CANTER, RIGID, SUPPLE, Accelerometer, MovingBase, Ride
from tests.motion.rides import fitting, plate_of, ridden, trace_of

CADENCES_HZ = (0.8, 1.0, 1.3, 1.6, 2.0, 2.5, 3.0)
#: The last: a third harmonic of the height that is half the first, 4.5 times it in acceleration.
HARMONICS = ((), CANTER, ((0.1, 0.9), (0.5, 2.2)))
SOURCES = ("acceleration", "force", "COP", "live acceleration", "live force")


class Counted(NamedTuple):
    """How many rides, how many cadences were right, wrong, and not found."""

    rides: int
    right: int
    wrong: int
    missed: int


def made(cadence_hz: float, harmonics: tuple[tuple[float, float], ...], seed: int) -> Ride:
    """One ride on an irregular base."""
    base = MovingBase(
        fitting(cadence_hz, harmonics),
        cadence_hz,
        0.15,
        0.15,
        harmonics,
        rock_ap_mm=15.0,
        rock_ml_mm=5.0,
    )
    legs = RIGID if seed % 2 else SUPPLE
    return ridden(base, legs, seed=seed, accelerometer=Accelerometer(80.0), sway=True)


def signal_of(ride: Ride, source: str) -> Signal:
    trace = trace_of(ride)
    if source == "COP":
        # A base that only rocks: the force is that of standing still.
        trace = trace_of(ride._replace(loads_n=ride.loads_n * _still(ride)))
    return stride_signal(trace, plate_of(ride) if source == "acceleration" else None)


def _still(ride: Ride) -> np.ndarray:
    force = ride.loads_n.sum(axis=1, keepdims=True)
    return np.asarray(force.mean() / np.maximum(force, 1.0))


def count(source: str, cadence_hz: float, seeds: Iterable[int]) -> Counted:
    errors = []
    for seed in seeds:
        for harmonics in HARMONICS:
            ride = made(cadence_hz, harmonics, seed)
            true = (ride.onsets_s.size - 1) / float(ride.onsets_s[-1] - ride.onsets_s[0])
            if source.startswith("live"):
                errors.append(_live(ride, source) / true - 1.0)
            else:
                errors.append(find_cadence(signal_of(ride, source)).cadence_hz / true - 1.0)
    off = np.abs(np.array(errors))
    missed = int(np.isnan(off).sum())
    right = int((off <= (0.15 if source.startswith("live") else 0.08)).sum())
    return Counted(off.size, right, off.size - right - missed, missed)


def _live(ride: Ride, source: str) -> float:
    live = LiveStrides(80.0, "force" if source == "live force" else "acceleration")
    values = ride.loads_n.sum(axis=1) if source == "live force" else ride.plate_m_s2
    said = []
    for time_s, value in zip(ride.time_s.tolist(), values.tolist(), strict=True):
        live.update(time_s, value)
        said.append(live.get().cadence_hz)
    return float(np.nanmedian(np.array(said[240:])))


def main() -> None:
    """Print the table."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--seeds", type=int, default=20)
    seeds = range(ask.parse_args().seeds)
    print(f"{'found in':20}" + "".join(f"{f:>16.1f} Hz" for f in CADENCES_HZ))
    for source in SOURCES:
        row = [count(source, f, seeds) for f in CADENCES_HZ]
        cells = (f"{100.0 * c.right / c.rides:7.1f} % ({c.wrong} wrong)".rjust(19) for c in row)
        print(f"{source:20}" + "".join(cells))
    print(f"{row[0].rides} rides a cell; what is neither right nor wrong was not found.")


if __name__ == "__main__":
    main()
