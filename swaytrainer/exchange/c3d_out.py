"""A trial as C3D (an open format: the C3D User Guide, c3d.org): a force plate and its COP.

The plate is of type 2: forces and moments about the middle of its surface, in a right-handed frame
whose z is down; its y is our forward, so its x is to the left. With the force F in (x, y) of our
frame the channels are Fz = F, Mx = y·F, My = x·F, all others 0: the board measures no shear. The
point ``COP`` is in the laboratory's frame, which is ours with z up. The plate's corners are its
outermost cells: how far the board reaches beyond them is not recorded.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.exchange.trial_table import TrialTable
from swaytrainer.words import Name, say

LABELS: Final = ("Fx1", "Fy1", "Fz1", "Mx1", "My1", "Mz1")
#: A step in time longer than this many samples is a gap.
_GAP: Final = 1.5


def write_c3d(table: TrialTable, path: Path) -> None:
    """Write the trial to a new file.

    Raises:
        SwaytrainerError: it has gaps, which C3D can't tell as it knows no times; or ezc3d is not
            installed; or the file can't be written.
    """
    try:
        import ezc3d
    except ImportError:
        raise SwaytrainerError(
            say("C3D needs ezc3d, which is not installed."),
            say("Install it with: pip install 'swaytrainer[exchange]'"),
        ) from None
    steps = np.diff(table.time_s)
    if float(steps.max()) > _GAP / table.rate_hz:
        raise SwaytrainerError(
            say(
                "The trial has a gap of {s:.2f} s, and a C3D file knows no times.",
                s=float(steps.max()),
            ),
            say("Take --as csv or --as parquet."),
        )
    force = table.columns["force_n"]
    loads = np.stack([v for name, v in table.columns.items() if name.startswith("cell_")])
    at_x, at_y = np.array(table.places).T
    zero = np.zeros(force.size)
    c: Any = ezc3d.c3d()
    point, analog = c["parameters"]["POINT"], c["parameters"]["ANALOG"]
    point["RATE"]["value"] = analog["RATE"]["value"] = [1.0 / float(steps.mean())]
    point["UNITS"]["value"] = ["mm"]
    point["LABELS"]["value"] = ["COP"]
    point["DESCRIPTIONS"]["value"] = ["Centre of pressure; missing where nobody is on the plate"]
    analog["LABELS"]["value"] = list(LABELS)
    analog["UNITS"]["value"] = ["N"] * 3 + ["Nmm"] * 3
    channels = np.stack([zero, zero, force, at_y @ loads, at_x @ loads, zero])
    c["data"]["analogs"] = channels[None]
    x_mm, y_mm = table.columns["cop_x_mm"], table.columns["cop_y_mm"]
    c["data"]["points"] = np.stack([x_mm, y_mm, np.where(np.isnan(x_mm), np.nan, 0.0), zero + 1.0])[
        :, None
    ]
    half_x, half_y = float(np.abs(at_x).max()), float(np.abs(at_y).max())
    # Corners 1 to 4 by the quadrants (+ +), (- +), (- -), (+ -) of the plate's own frame.
    corners = [(-half_x, half_y), (half_x, half_y), (half_x, -half_y), (-half_x, -half_y)]
    _whole(ezc3d, c, "USED", [1], [1])
    _whole(ezc3d, c, "TYPE", [2], [1])
    _whole(ezc3d, c, "ZERO", [1, 0], [2])
    _whole(ezc3d, c, "CHANNEL", [1, 2, 3, 4, 5, 6], [6, 1])
    c.add_parameter(
        "FORCE_PLATFORM", "CORNERS", np.array([(x, y, 0.0) for x, y in corners]).T[:, :, None]
    )
    c.add_parameter("FORCE_PLATFORM", "ORIGIN", np.zeros((3, 1)))
    for key, text in table.about.items():
        # The format's texts are ASCII of at most 255 characters.
        plain = text.encode("ascii", "replace").decode()[:255]
        c.add_parameter("SWAYTRAINER", key.upper().replace(" ", "_"), [plain])
    try:
        c.write(str(path))
    except (OSError, RuntimeError) as error:
        raise SwaytrainerError(
            say("Can't write {path}: {why}.", path=Name(path), why=Name(error)),
            say("Free some space, or give another place."),
        ) from None


def _whole(ezc3d: Any, c: Any, name: str, values: list[int], shape: list[int]) -> None:
    # The library's own add_parameter stores whole numbers as floating ones.
    parameter = ezc3d.ezc3d.Parameter(name, "")
    parameter.set(ezc3d.ezc3d.VecInt(values), shape)
    c["parameters"].add_parameter("FORCE_PLATFORM", parameter)
