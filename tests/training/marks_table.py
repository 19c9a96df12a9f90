"""How each game marks skill, and what cheating brings: ``python -m tests.training.marks_table``.

For each game that has simulated players: the mean mark at ten steps of skill, their rank
correlation, and for each cheat its mean mark beside the honest one's at the same skill and seeds.
"""

from __future__ import annotations

import argparse
import importlib
import pkgutil
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from types import ModuleType
from typing import NamedTuple

import numpy as np
from scipy.stats import spearmanr

from tests.training import players

SKILLS = tuple(np.linspace(0.05, 0.95, 10))
#: Cheats are tried at these.
CHEATING_SKILLS = (0.3, 0.5, 0.7)


class Table(NamedTuple):
    """What one game's players earned.

    Attributes:
        marks: mean mark at each of ``SKILLS``.
        rank: Spearman's correlation of skill and mean mark.
        cheats: (cheat, honest mean, cheating mean, share of pairs in which it paid).
    """

    marks: tuple[float, ...]
    rank: float
    cheats: tuple[tuple[str, float, float, float], ...]


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
    mapped: Callable[..., Iterator[float]] = map,
) -> Table:
    """Let a game's players play.

    Args:
        game: of ``games``.
        seeds: a trial each.
        mapped: ``map``, or an executor's.
    """
    honest_jobs = [(game, s, seed, None) for s in SKILLS for seed in seeds]
    honest = np.array(list(mapped(_play, honest_jobs))).reshape(len(SKILLS), -1)
    marks = honest.mean(axis=1)
    rank = float(spearmanr(SKILLS, marks).statistic)
    cheats = []
    for cheat in games()[game].CHEATS:
        pairs = [(skill, seed) for skill in CHEATING_SKILLS for seed in seeds]
        fair = np.array(list(mapped(_play, [(game, k, s, None) for k, s in pairs])))
        foul = np.array(list(mapped(_play, [(game, k, s, cheat) for k, s in pairs])))
        paid = float((foul > fair).mean())
        cheats.append((cheat, float(fair.mean()), float(foul.mean()), paid))
    return Table(tuple(float(m) for m in marks), rank, tuple(cheats))


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("games", nargs="*", help="all if none is named")
    parser.add_argument("--seeds", type=int, default=100, help="trials of each kind")
    options = parser.parse_args()
    with ProcessPoolExecutor() as pool:
        for game in options.games or games():
            table = table_of(
                game, range(options.seeds), lambda f, jobs: pool.map(f, jobs, chunksize=8)
            )
            print(f"{game}: rank correlation {table.rank:.3f}, {options.seeds} trials a step")
            print("  skill " + " ".join(f"{s:5.2f}" for s in SKILLS))
            print("  mark  " + " ".join(f"{m:5.2f}" for m in table.marks))
            for cheat, fair, foul, paid in table.cheats:
                print(f"  {cheat:<28} honest {fair:5.2f}  so {foul:5.2f}  paid in {paid:.1%}")


if __name__ == "__main__":
    main()
