"""How each game marks skill, and what cheating brings: ``python -m tests.training.marks_table``.

For each game that has simulated players: the mean mark at ten steps of skill, their rank
correlation, and for each cheat what it brings, in pairs of trials of the same skill and seed. In a
single pair chance may favour the cheat, for what is done another way meets another wave of sway; a
cheat pays if its mean gain does.
"""

from __future__ import annotations

import argparse
import importlib
import math
import pkgutil
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from types import ModuleType
from typing import NamedTuple

import numpy as np
from scipy.stats import spearmanr
from scipy.stats import t as student

from swaytrainer import players
from swaytrainer.sway.cop import Array

SKILLS = tuple(np.linspace(0.05, 0.95, 10))
#: Cheats are tried at these.
CHEATING_SKILLS = (0.3, 0.5, 0.7)
#: A gain below this is none: marks are shown with one decimal.
WORTH = 0.1


class Cheat(NamedTuple):
    """What one cheat brought, over pairs of trials of the same skill and seed.

    Attributes:
        name: what was done.
        pairs: how many there were.
        honest, cheating: the mean marks.
        gain: mean of cheating minus honest; never above zero for a game that can't be gamed.
        gain_95: half the 95 % interval of that mean (Student's t); 0 where all pairs are alike.
        paid: share of the pairs where it brought more than ``WORTH``.
    """

    name: str
    pairs: int
    honest: float
    cheating: float
    gain: float
    gain_95: float
    paid: float


class Table(NamedTuple):
    """What one game's players earned.

    Attributes:
        marks: mean mark at each of ``SKILLS``.
        rank: Spearman's correlation of skill and mean mark.
        cheats: what each brought.
    """

    marks: tuple[float, ...]
    rank: float
    cheats: tuple[Cheat, ...]


def games() -> dict[str, ModuleType]:
    """The modules of ``players`` that play a game."""
    found = {}
    for module in pkgutil.iter_modules(players.__path__):
        player = importlib.import_module(f"{players.__name__}.{module.name}")
        if hasattr(player, "play"):
            found[module.name] = player
    return found


def _play(job: tuple[str, float, int, str | None]) -> float:
    game, skill, seed, cheat = job
    play: Callable[..., float] = games()[game].play
    return play(skill, seed, cheat)


def table_of(
    game: str,
    seeds: range,
    pairs: int | None = None,
    mapped: Callable[..., Iterator[float]] = map,
) -> Table:
    """Let a game's players play.

    Args:
        game: of ``games``.
        seeds: a trial each, at every step of skill.
        pairs: of trials a cheat; the skills take turns. None for a pair for every seed and skill.
        mapped: ``map``, or an executor's.
    """
    skills = len(CHEATING_SKILLS)
    tried = [
        (CHEATING_SKILLS[n % skills], seeds.start + n // skills)
        for n in range(pairs or skills * len(seeds))
    ]
    names = tuple(games()[game].CHEATS)
    jobs = [(game, skill, seed, None) for skill in SKILLS for seed in seeds]
    jobs += [(game, *pair, name) for name in (None, *names) for pair in tried]
    earned = np.array(list(mapped(_play, jobs)))
    marks = earned[: len(SKILLS) * len(seeds)].reshape(len(SKILLS), -1).mean(axis=1)
    fair, *foul = earned[len(SKILLS) * len(seeds) :].reshape(1 + len(names), -1)
    rank = float(spearmanr(SKILLS, marks).statistic)
    cheats = tuple(_cheat(name, fair, mark) for name, mark in zip(names, foul, strict=True))
    return Table(tuple(float(m) for m in marks), rank, cheats)


def _cheat(name: str, fair: Array, foul: Array) -> Cheat:
    gain = foul - fair
    spread = float(gain.std(ddof=1)) / math.sqrt(len(gain))
    return Cheat(
        name,
        len(gain),
        float(fair.mean()),
        float(foul.mean()),
        float(gain.mean()),
        float(student.ppf(0.975, len(gain) - 1)) * spread,
        float((gain > WORTH).mean()),
    )


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("games", nargs="*", help="all if none is named")
    parser.add_argument("--seeds", type=int, default=100, help="trials at each step of skill")
    parser.add_argument("--pairs", type=int, help="pairs of trials a cheat; 3 a seed if not given")
    options = parser.parse_args()
    with ProcessPoolExecutor() as pool:
        for game in options.games or games():
            table = table_of(
                game,
                range(options.seeds),
                options.pairs,
                lambda f, jobs: pool.map(f, jobs, chunksize=8),
            )
            print(f"{game}: rank correlation {table.rank:.3f}, {options.seeds} trials a step")
            print("  skill " + " ".join(f"{s:5.2f}" for s in SKILLS))
            print("  mark  " + " ".join(f"{m:5.2f}" for m in table.marks))
            for c in table.cheats:
                means = f"honest {c.honest:5.2f}  so {c.cheating:5.2f}"
                gain = f"gain {c.gain:+6.2f} ± {c.gain_95:.2f}  paid in {c.paid:.1%}"
                print(f"  {c.name:<22} {c.pairs:5} pairs  {means}  {gain}", flush=True)


if __name__ == "__main__":
    main()
