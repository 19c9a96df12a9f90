"""How often a gesture is understood that was none, and one that was is not: prints the table.

Run ``python -m tests.training.false_choices``; ``--minutes`` of bodies that mean nothing for each
base, ``--gestures`` of each kind for each base.

A few bodies are simulated for a minute each; each minute is used again with another sway, another
heave, mirrored or not, and other things done by the way. On the dome and the disc sway and heave
are those of foam two to three and a half times over: a guess, no measurement.
"""

from __future__ import annotations

import argparse
import math
from collections import Counter
from collections.abc import Iterator
from random import Random
from typing import NamedTuple

import numpy as np
from scipy.signal import butter, lfilter, lfilter_zi

from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.simulate.athlete import HEEL_LINE_MM
from swaytrainer.simulate.body import Ground, StandingBody
from swaytrainer.simulate.film import Film
from swaytrainer.simulate.gestures import by_the_way, lean, some_bends, varied
from swaytrainer.simulate.incidents import some_manner, some_vaulter
from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.feet import Feet
from swaytrainer.training.gesture import Gesture, GestureWatch

RATE_HZ = 80.0
_FILTER = butter(2, 10.0, fs=RATE_HZ)
_REST = lfilter_zi(*_FILTER)


class Base(NamedTuple):
    """What somebody stands on: ground, factors on sway and heave, how unsteady."""

    ground: Ground
    gain: tuple[float, float]
    unsteady: float


BASES = {
    "firm": Base(Ground.FIRM, (1.0, 1.0), 0.0),
    "foam": Base(Ground.COMPLIANT, (1.0, 1.4), 0.3),
    "dome": Base(Ground.COMPLIANT, (2.0, 3.5), 1.0),
}


def stand(seed: int, base: Base, seconds: float) -> Film:
    """Somebody of 25 to 100 kg who stands there."""
    athlete = some_vaulter(seed)
    body = StandingBody(athlete, base.ground, manner=some_manner(seed), seed=seed)
    return Film(body, RATE_HZ, seconds, athlete.mass_kg * STANDARD_GRAVITY, Random(seed))


def samples(film: Film) -> Iterator[CopSample]:
    """What the live filter makes of it: force and moments, 10 Hz, then the quotient."""
    force = np.maximum(film.share, 0.0) * film.athlete.mass_kg * STANDARD_GRAVITY
    smooth = [
        lfilter(*_FILTER, values, zi=_REST * values[0])[0]
        for values in (force, force * np.asarray(film.x), force * np.asarray(film.y))
    ]
    fine = np.maximum(smooth[0], 1.0)
    x, y = (np.where(smooth[0] < 20.0, np.nan, m / fine) for m in smooth[1:])
    rows = zip(smooth[0].tolist(), x.tolist(), y.tolist(), strict=True)
    for n, (f, at_x, at_y) in enumerate(rows):
        yield CopSample(n / RATE_HZ, f, at_x, at_y, 0.0)


def heard(film: Film, feet: Feet | None = None) -> list[tuple[float, Gesture]]:
    """What is understood, and when; ``feet`` None for the vaulter's own by the ruler."""
    athlete = film.athlete
    watch = GestureWatch(
        feet or Feet.from_length(athlete.foot_length_mm, athlete.stance_width_mm, HEEL_LINE_MM),
        RATE_HZ,
    )
    found = []
    for sample in samples(film):
        now = watch.update(sample)
        if now.said is not None:
            found.append((now.time_s, now.said))
    return found


def idle_minutes(
    base: Base, minutes: int, first_seed: int = 0, bodies: int = 24
) -> Iterator[tuple[Counter[Gesture], list[str]]]:
    """What is heard in each minute of somebody who says nothing, and what was done in it."""
    stands = [stand(first_seed + n, base, 60.0) for n in range(min(bodies, minutes))]
    for n in range(minutes):
        rng = Random(f"idle {first_seed} {n}")
        gain = rng.uniform(*base.gain)
        film = varied(stands[n % len(stands)], f"minute {first_seed} {n}", gain, gain)
        done = by_the_way(film, 60.0, base.unsteady)
        yield Counter(said for _, said in heard(film)), done


def said(
    base: Base,
    gesture: Gesture,
    times: int,
    first_seed: int = 500,
    feet: Feet | None = None,
    bodies: int = 12,
) -> Iterator[bool]:
    """For each time somebody says this once and nothing else: whether just that was heard."""
    stands = [stand(first_seed + n, base, 14.0) for n in range(min(bodies, times))]
    for n in range(times):
        rng = Random(f"said {first_seed} {n}")
        gain = rng.uniform(*base.gain)
        at_s = rng.uniform(4.0, 6.0)
        still, seed = stands[n % len(stands)], f"{gesture} {first_seed} {n}"
        film = varied(still, seed, gain, gain)
        if gesture is Gesture.BENDS:
            some_bends(film, at_s)
        else:
            side = 1 if gesture is Gesture.RIGHT else -1
            percent, move_s = rng.uniform(28.0, 42.0), rng.uniform(0.4, 1.0)
            lean(film, at_s, side, percent, move_s, 6.0)
            # The vaulter holds it until the screen has understood, and then a moment.
            seen_s = next((t for t, what in heard(film, feet) if what is gesture), math.inf)
            held_s = min(6.0, max(0.0, seen_s + rng.uniform(0.2, 0.6) - at_s - move_s))
            film = varied(still, seed, gain, gain)
            lean(film, at_s, side, percent, move_s, held_s)
        yield [what for _, what in heard(film, feet)] == [Gesture.STEP_ON, gesture]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--minutes", type=int, default=1000)
    parser.add_argument("--gestures", type=int, default=300)
    parser.add_argument("--seed", type=int, default=0)
    options = parser.parse_args()
    print(
        "base   minutes  takes  backs  moves | minutes with a move   doings of minutes with a take"
    )
    for name, base in BASES.items():
        total: Counter[Gesture] = Counter()
        with_move = 0
        blame: Counter[str] = Counter()
        for found, done in idle_minutes(base, options.minutes, options.seed):
            total += found
            with_move += bool(found[Gesture.LEFT] + found[Gesture.RIGHT])
            if found[Gesture.BENDS]:
                blame.update(set(done))
        moves = total[Gesture.LEFT] + total[Gesture.RIGHT]
        print(
            f"{name:6} {options.minutes:7} {total[Gesture.BENDS]:6} {total[Gesture.STEP_OFF]:6}"
            f" {moves:6} | {with_move:6}   {dict(blame.most_common(5))}",
            flush=True,
        )
    print("base   gesture          heard")
    anybody = Feet.from_length(240.0, 200.0, HEEL_LINE_MM)
    for name, base in BASES.items():
        for gesture in (Gesture.LEFT, Gesture.RIGHT, Gesture.BENDS):
            for whose, feet in (("own feet", None), ("anybody's", anybody)):
                right = sum(said(base, gesture, options.gestures, options.seed + 500, feet))
                print(f"{name:6} {gesture.value:15} {whose:10} {right} of {options.gestures}",
                      flush=True)  # fmt: skip


if __name__ == "__main__":
    main()
