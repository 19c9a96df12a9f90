"""``python -m tests.bench [--keep]``: all benchmarks; with --keep the ratios join the history."""

from __future__ import annotations

import csv
import sys
from datetime import UTC, datetime
from pathlib import Path

from swaytrainer import __version__
from tests.bench import delay, per_sample, start

HISTORY = Path(__file__).with_name("history.csv")


def main() -> None:
    """Run them all."""
    ratios = {**start.main(), **per_sample.main(), **delay.main()}
    if "--keep" not in sys.argv:
        return
    row = {
        "date": f"{datetime.now(UTC):%Y-%m-%d}",
        "version": __version__,
        **{k: f"{v:.2f}" for k, v in ratios.items()},
    }
    new = not HISTORY.exists()
    with HISTORY.open("a", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, row.keys())
        if new:
            writer.writeheader()
        writer.writerow(row)


if __name__ == "__main__":
    main()
