"""The dusty coat: cells of ground over which the centre of pressure is to be led."""

from __future__ import annotations

import math
from typing import Final

from swaytrainer.sway.feet import Feet

COLUMNS: Final = 11
ROWS: Final = 9
#: The outline is |u|^n + |v|^n = 1 (Lamé's curve): rounder than a box, fuller than an ellipse. That
#: standing people reach about such a patch is common knowledge; the exponent is ours.
_POWER: Final = 2.5
#: A cell is clean after so long under the brush. Ours: a brush of 24 mm at 20 mm/s stays for 1.2 s.
CLEAN_S: Final = 0.8
#: This far beyond the outline the brush is off the coat.
BEYOND: Final = 1.3


class Coat:
    """What is clean and what is dusty.

    Places are normalised: u from -1 (left) to 1 (right), v from -1 (heels) to 1 (toes).

    Args:
        feet: where the vaulter stands.
        middle_percent: toe share at v = 0.
        side_percent, front_percent, back_percent: share of the load moved at the outline.
        brush_percent: half the brush's width in % of the way from heel to ball.

    Attributes:
        cells: the places (u, v) of the cells inside the outline, row by row from the heels.
        rub_s: how long each has been brushed.
    """

    def __init__(
        self,
        feet: Feet,
        middle_percent: float,
        side_percent: float,
        front_percent: float,
        back_percent: float,
        brush_percent: float,
    ) -> None:
        self._feet = feet
        self._middle = middle_percent
        self._side, self._front, self._back = side_percent, front_percent, back_percent
        foot_mm = feet.ball_y_mm - feet.heel_y_mm
        stance_mm = feet.right_x_mm - feet.left_x_mm
        brush_mm = 0.01 * brush_percent * foot_mm
        self.brush_u = brush_mm / (0.01 * side_percent * stance_mm)
        self.brush_v = brush_mm / (0.005 * (front_percent + back_percent) * foot_mm)
        places = [
            (-1.0 + (2 * i + 1) / COLUMNS, -1.0 + (2 * j + 1) / ROWS)
            for j in range(ROWS)
            for i in range(COLUMNS)
        ]
        self.cells = [(u, v) for u, v in places if outline(u, v) <= 1.0]
        self.rub_s = [0.0] * len(self.cells)
        self.clean = 0
        rows: dict[float, list[int]] = {}
        for k, (_, v) in enumerate(self.cells):
            rows.setdefault(v, []).append(k)
        self._rows = list(rows.items())

    def place(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """(u, v) of a COP."""
        side = self._feet.right_share_percent(x_mm) - 50.0
        forward = self._feet.toe_share_percent(y_mm) - self._middle
        return side / self._side, forward / (self._front if forward > 0.0 else self._back)

    def brush(self, u: float, v: float, seconds: float) -> int:
        """Brush where the COP is; how many cells have just come clean."""
        came = 0
        for row_v, row in self._rows:
            dv = (row_v - v) / self.brush_v
            left = 1.0 - dv * dv
            if left <= 0.0:
                continue
            reach = self.brush_u * math.sqrt(left)
            for k in row:
                if abs(self.cells[k][0] - u) <= reach:
                    before = self.rub_s[k]
                    self.rub_s[k] = before + seconds
                    came += before < CLEAN_S <= before + seconds
        self.clean += came
        return came

    @property
    def clean_percent(self) -> float:
        """How much of the coat is clean."""
        return 100.0 * self.clean / len(self.cells)


def outline(u: float, v: float) -> float:
    """Below 1 inside the outline, 1 on it.

    >>> outline(1.0, 0.0), outline(0.0, -2.0)
    (1.0, 2.0)
    """
    return float((abs(u) ** _POWER + abs(v) ** _POWER) ** (1.0 / _POWER))
