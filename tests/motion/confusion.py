"""What the watch says of simulated trials of many vaulters, against the truth.

``python -m tests.motion.confusion`` simulates 2,400 trials (``--trials N`` for another number): one
in four of 60 s in which nothing happens but stirring, the others of 20 s in which one thing
happens, once. Bodies of 25 to 100 kg, firm and compliant still bases, eyes open and closed, calm to
restless, boards from quiet to poor; through the real live filter. A trial is right if exactly that
one thing was seen. ``--from N`` sets the first seed: those below 100,000 are for looking and
tuning, the figures in the report are of those from 100,000 on.
"""

from __future__ import annotations

import argparse
import math
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from random import Random

from swaytrainer.motion.incident import Incident, Kind
from swaytrainer.motion.watch import IncidentWatch
from swaytrainer.simulate.board import DECENT, BoardMake, SimulatedBoard
from swaytrainer.simulate.body import Eyes, Ground
from swaytrainer.simulate.incidents import Story, Told, some_manner, some_vaulter, tell
from swaytrainer.simulate.scenario import distribute
from swaytrainer.sitting.live_cop import live_cop
from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.feet import Feet

STORIES = tuple(s for s in Story if s is not Story.NOTHING)
RIGHT = {
    Story.SUPPORT: Kind.SUPPORT,
    Story.TOUCH: Kind.SUPPORT,
    Story.STEP: Kind.STEP,
    Story.HOP: Kind.HOP,
    Story.STEP_OFF: Kind.STEP_OFF,
    Story.FALL: Kind.FALL,
}
COLUMNS = ("nothing", *(k.value for k in Kind), "several")
WEIGHTS = ((0.0, 40.0, "25-40 kg"), (40.0, 63.0, "40-63 kg"), (63.0, 200.0, "63-100 kg"))
#: 0.4 to 25 times a good converter's noise: the last is the "noisy supply" of the built-in faults.
NOISE_TIMES = (0.4, 1.0, 3.0, 10.0, 25.0)


@dataclass(frozen=True, slots=True)
class Seen:
    """One trial."""

    seed: int
    told: Told
    mass_kg: float
    ground: Ground
    noise: float
    incidents: tuple[Incident, ...]

    @property
    def column(self) -> str:
        """What was seen, as a column of the table."""
        if len(self.incidents) > 1:
            return "several"
        return self.incidents[0].kind.value if self.incidents else "nothing"

    @property
    def right(self) -> bool:
        """Exactly the truth was seen."""
        if self.told.story is Story.NOTHING:
            return not self.incidents
        return self.column == RIGHT[self.told.story].value


def samples(told: Told, board: SimulatedBoard) -> Iterator[CopSample]:
    """Through cells, converters, calibration and the live filter."""
    make = board.make
    calibration = board.true_calibration()
    live = live_cop(calibration, make.rate_hz)
    a, b = make.half_width_mm, make.half_depth_mm
    for n, state in enumerate(told.states):
        x = min(max(state.x_mm, -0.98 * a), 0.98 * a)
        y = min(max(state.y_mm, -0.98 * b), 0.98 * b)
        observed = board.observe(distribute(state.force_n, x, y, a, b))
        assert observed is not None
        yield live.update(n / make.rate_hz, calibration.loads(observed.counts))


def one(seed: int, story: Story, size: float | None = None, lasting_s: float | None = None) -> Seen:
    """Simulate and watch one trial; half of them with the feet known."""
    rng = Random(f"confusion {seed}")
    athlete = some_vaulter(seed)
    ground = rng.choice(tuple(Ground))
    told = tell(
        story, athlete, 80.0, seed, ground=ground, eyes=rng.choice(tuple(Eyes)),
        manner=some_manner(seed), seconds=60.0 if story is Story.NOTHING else 20.0,
        size=size, lasting_s=lasting_s,
    )  # fmt: skip
    noise = rng.choice(NOISE_TIMES)
    make = BoardMake(
        noise_counts=DECENT.noise_counts * noise, cell_place_mm=1.5, cross_talk=0.005, drift_n=0.3
    )
    feet = None
    if rng.random() < 0.5:
        feet = Feet.from_length(athlete.foot_length_mm, athlete.stance_width_mm, -120.0)
    watch = IncidentWatch(feet=feet)
    found: list[Incident] = []
    for s in samples(told, SimulatedBoard(make, seed)):
        found += watch.update(s.time_s, s.force_n, s.x_mm, s.y_mm)
    found += watch.finish()
    return Seen(seed, told, athlete.mass_kg, ground, noise, tuple(found))


def run(trials: int, first: int) -> list[Seen]:
    """A quarter of the trials with nothing, the others evenly over the stories."""
    return [
        one(first + n, Story.NOTHING if n % 4 == 3 else STORIES[(n - n // 4) % len(STORIES)])
        for n in range(trials)
    ]


def table(name: str, seen: Iterable[Seen]) -> str:
    """Rows: the truth. Columns: what was seen, with the share that is right."""
    rows = list(seen)
    counts = {s: Counter(r.column for r in rows if r.told.story is s) for s in Story}
    shown = [c for c in COLUMNS if any(counts[s][c] for s in Story)]
    lines = [f"{name}: {len(rows)} trials", f"{'':10}" + "".join(f"{c:>15}" for c in shown)]
    for story in Story:
        total = sum(counts[story].values())
        if total:
            right = sum(r.right for r in rows if r.told.story is story)
            lines.append(
                f"{story.value:10}"
                + "".join(f"{counts[story][c]:>15}" for c in shown)
                + f"   {right}/{total} = {right / total:.1%} right"
            )
    return "\n".join(lines)


def floor(trials: int, first: int) -> str:
    """How light, and how short, a support is still seen."""
    lines = ["Seen, of even supports of this size (columns) for so long (rows):"]
    shares = (0.01, 0.015, 0.02, 0.03, 0.05, 0.08, 0.12, 0.20)
    lines.append(f"{'':7}" + "".join(f"{100 * s:>8.3g} %" for s in shares))
    for lasting_s in (0.3, 0.5, 1.0, 2.0, 4.0, 8.0):
        cells = []
        for share in shares:
            hits = sum(
                any(
                    i.kind is Kind.SUPPORT
                    for i in one(first + n, Story.SUPPORT, share, lasting_s).incidents
                )
                for n in range(trials)
            )
            cells.append(f"{hits / trials:>10.0%}")
        lines.append(f"{lasting_s:>5g} s" + "".join(cells))
    return "\n".join(lines)


def late_s(seen: Iterable[Seen]) -> float:
    """The largest difference between the true start and the one that was seen, s."""
    return max(
        (abs(r.incidents[0].start_s - r.told.start_s) for r in seen if r.right and r.incidents),
        default=math.nan,
    )


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--trials", type=int, default=2400)
    parser.add_argument("--from", type=int, default=100_000, dest="first")
    parser.add_argument("--floor", type=int, default=0, help="trials for each cell of the floor")
    parser.add_argument("--wrong", action="store_true", help="list what was seen wrongly")
    asked = parser.parse_args()
    seen = run(asked.trials, asked.first)
    print(table("All", seen))
    for low, high, name in WEIGHTS:
        print(table(name, (r for r in seen if low <= r.mass_kg < high)))
    for ground in Ground:
        print(table(ground.value, (r for r in seen if r.ground is ground)))
    for noise in NOISE_TIMES:
        print(table(f"{noise:g} times the noise", (r for r in seen if r.noise == noise)))
    print(f"Largest difference of a start: {late_s(seen):.2f} s")
    if asked.wrong:
        for r in seen:
            if not r.right:
                print(
                    r.seed, r.told.story, f"{r.mass_kg:.0f} kg", r.ground.value, r.noise,
                    f"{r.told.start_s:.2f}-{r.told.end_s:.2f} size {r.told.size:.3f}",
                    r.told.stirring,
                    *(f"{i.kind} {i.start_s:.2f}-{i.end_s:.2f} {i.why}" for i in r.incidents),
                )  # fmt: skip
    if asked.floor:
        print(floor(asked.floor, asked.first))


if __name__ == "__main__":
    main()
