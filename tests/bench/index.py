"""What the index costs: ``python -m tests.bench.index``.

The first figure is a ratio on one core: seconds that the recordings last to seconds that an index
of them, made anew, needs. The others are the coach's questions at 200 vaulters and 50,000 trials,
on SQLite and, where it is installed, on PostgreSQL.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from sqlalchemy import Engine

from swaytrainer.index.building import build, put
from swaytrainer.index.database import FILE, begun, open_file, open_url
from swaytrainer.index.queries import newest_trials, squad, values
from swaytrainer.store.home import Home
from tests.index import postgres
from tests.index.made import KEPT, MONDAY, again, made_rows

COPIES = 60


def rebuilding(folder: Path) -> tuple[float, float]:
    """Recorded seconds, and seconds to index them on one core."""
    recorded_s = 0.0
    for n in range(COPIES):
        for path in sorted(KEPT.glob("*.sway")):
            target = folder / "recordings" / f"day-{n}" / path.name
            recorded_s += again(path, target, MONDAY + timedelta(days=n))
    engine = open_file(folder / FILE)
    paths = Home(folder).recordings()
    build(engine, folder / "recordings", paths[:8])  # warm
    begin_s = time.perf_counter()
    build(engine, folder / "recordings", paths, rebuild=True)
    return recorded_s, time.perf_counter() - begin_s


def asking(
    opened: Callable[[], Engine], vaulters: int = 200, trials: int = 50_000
) -> dict[str, float]:
    """Seconds of each question, the slowest of five, each on a connection of its own."""
    engine = opened()
    with begun(engine) as connection:
        put(connection, made_rows(vaulters, trials, 1), "")
    engine.dispose()
    questions: dict[str, Callable[..., object]] = {
        "all vaulters": squad,
        "one's newest trials": lambda c: newest_trials(c, "Vaulter 7"),
        "one's values of a measure": lambda c: values(c, "Vaulter 7", "measure_3"),
        "the newest that don't count": lambda c: newest_trials(c, uncounted=True),
    }
    found = {}
    for name, question in questions.items():
        taken = []
        for _ in range(5):
            begin_s = time.perf_counter()
            engine = opened()
            with begun(engine, reads=True) as connection:
                question(connection)
            taken.append(time.perf_counter() - begin_s)
            engine.dispose()
        found[name] = max(taken)
    return found


def main() -> None:
    """Print the figures."""
    with TemporaryDirectory() as name:
        recorded_s, needed_s = rebuilding(Path(name))
        print(f"index made anew: {recorded_s:.0f} s of recordings in {needed_s:.2f} s, one core:")
        print(f"  {recorded_s / needed_s:.0f} times faster than real time")
        told = {"SQLite": asking(lambda: open_file(Path(name) / "large.sqlite"))}
        there = postgres.programs()
        if there is not None:
            server = postgres.Server(there)
            url = server.new_database()
            told["PostgreSQL"] = asking(lambda: open_url(url))
            server.close()
        for database, found in told.items():
            for question, seconds in found.items():
                print(f"{database}, {question}: {1000 * seconds:.0f} ms with opening, slowest of 5")


if __name__ == "__main__":
    main()
