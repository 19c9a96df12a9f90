"""Where the open data lie (beside the checkout, never in it), and how to read them.

Standing trials and published results: Santos & Duarte 2016, PeerJ 4:e2648, doi 10.13026/C2WW2W.
Two-plate trials: Santos, Fukuchi, Fukuchi & Duarte 2017, PeerJ 5:e3626,
doi 10.6084/m9.figshare.4525082. Both CC BY 4.0.
"""

from __future__ import annotations

import csv
import gzip
import os
from pathlib import Path

import numpy as np

from swaytrainer.sway.cop import Array, CellPlaces

FOLDER_VARIABLE = "SWAYTRAINER_OPEN_DATA"
REQUIRE_VARIABLE = "SWAYTRAINER_REQUIRE_OPEN_DATA"  # "1": missing data fail instead of skip

#: Subjects 1 and 9 have two eyes' states, two surfaces and three repeats each.
STANDING_TRIALS = (*range(1, 13), *range(97, 109))

#: The corner loads are of an ideal plate with its cells here.
PLACES = CellPlaces.rectangle(220.0, 170.0)


def folder() -> Path:
    """The folder with ``standing/`` and ``two_plates/``; it need not exist."""
    told = os.environ.get(FOLDER_VARIABLE)
    return Path(told) if told else Path(__file__).parents[2] / "shared" / "data"


def read(path: Path) -> dict[str, Array]:
    """The columns of a gzipped table of numbers."""
    with gzip.open(path, "rt", encoding="utf-8") as file:
        names = file.readline().strip().split(",")
        values = np.loadtxt(file, delimiter=",", ndmin=2)
    return {name: values[:, i].copy() for i, name in enumerate(names)}


def standing(trial: int) -> tuple[Array, Array]:
    """Times (N,) and loads (N, 4) of one standing trial."""
    (path,) = (folder() / "standing").glob(f"s*_{trial:05d}.csv.gz")
    columns = read(path)
    names = ("front_left_n", "front_right_n", "rear_left_n", "rear_right_n")
    return columns["time_s"], np.stack([columns[name] for name in names], axis=1)


def published() -> dict[int, dict[str, str]]:
    """The authors' own results, a row a trial."""
    with (folder() / "standing" / "published.csv").open(encoding="utf-8", newline="") as file:
        return {int(row["trial"].removeprefix("BDS")): row for row in csv.DictReader(file)}


def two_plates(name: str) -> dict[str, Array]:
    """The columns of one trial with a foot on each of two plates."""
    return read(folder() / "two_plates" / f"{name}.csv.gz")
