"""``python -m tests.bench [--keep]``: all benchmarks; with --keep the ratios join the history."""

from __future__ import annotations

import csv
import sys
from datetime import UTC, datetime
from pathlib import Path

from swaytrainer import __version__
from tests.bench import delay, frames, hearing, measures, per_sample, start

HISTORY = Path(__file__).with_name("history.csv")


def main() -> None:
    """Run them all."""
    ratios = {
        **start.main(),
        **per_sample.main(),
        **measures.main(),
        **delay.main(),
        **frames.main(),
        **hearing.main(),
    }
    if "--keep" not in sys.argv:
        return
    row = {
        "date": f"{datetime.now(UTC):%Y-%m-%d}",
        "version": __version__,
        **{k: f"{v:.2f}" for k, v in ratios.items()},
    }
    rows: list[dict[str, str]] = []
    if HISTORY.exists():
        with HISTORY.open(newline="", encoding="utf-8") as file:
            rows = list(csv.DictReader(file))
    rows.append(row)
    names = dict.fromkeys(name for each in rows for name in each)  # a new ratio, a new column
    with HISTORY.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, names, restval="", lineterminator="\r\n")
        writer.writeheader()
        writer.writerows(rows)


if __name__ == "__main__":
    main()
