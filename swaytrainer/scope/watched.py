"""A sitting that is looked at: the game's own column, fed with the same inputs, its values kept.

Force, COP, shares, speed, events and warnings come out of ``Sitting`` itself, so they are the
game's own, to the last bit. Added here are curves over time and what is reckoned of a stretch of
them: ellipse and spectrum. Where the base moves, cadence and absorption come from
``motion.LiveAbsorption``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np

from swaytrainer.board.calibration import Loads
from swaytrainer.motion.live_absorption import LiveAbsorbed, LiveAbsorption
from swaytrainer.scope.curves import Curves, Values
from swaytrainer.sitting.inputs import Input
from swaytrainer.sitting.sitting import Setup, Sitting
from swaytrainer.sitting.view import Event, View
from swaytrainer.sway.cop import NAN, Array, CopSample
from swaytrainer.sway.ellipse import Ellipse, prediction_ellipse
from swaytrainer.sway.remarks import AREA_LEAST_SAMPLES
from swaytrainer.sway.spectrum import (
    SPECTRUM_LEAST_S,
    power_quantile_hz,
    welch,
)
from swaytrainer.training.doubts import base_moves
from swaytrainer.training.tasks.catalogue import KINDS
from swaytrainer.words import say

CORNERS: Final = ("front_left_n", "front_right_n", "rear_left_n", "rear_right_n")
CURVES: Final = (
    "force_n",
    "x_mm",
    "y_mm",
    "toe_share_percent",
    "right_share_percent",
    "speed_mm_s",
    *CORNERS,
    "cadence_hz",
    "absorption_percent",
)
_X, _SPEED, _RIGHT = (CURVES.index(n) for n in ("x_mm", "speed_mm_s", "right_share_percent"))
_NOTHING: Final = [NAN] * len(CURVES)
#: The cloud on the soles, and its ellipse, are of the last so many seconds.
CLOUD_S: Final = 10.0
#: The spectrum is of the last so many seconds, or of less after a gap.
SPECTRUM_S: Final = 40.0
SPECTRUM_RATE_HZ: Final = 80.0
#: The way onto the board and off it, see ``Watched.standing``.
STEP_ON_S: Final = 1.0
STEP_OFF_S: Final = 0.5
_FULL: Final = 0.9
_LEAVING: Final = 0.5
#: Less than that is hardly a standing: a hand, a step across.
_STOOD_S: Final = 5.0


class Cloud(NamedTuple):
    """The COP of the last ``CLOUD_S``: shape (N,) in mm, NaN at gaps; its middle and its ellipse.

    ``reason`` says why there is no ellipse, "" if there is one.
    """

    x_mm: Array
    y_mm: Array
    middle_x_mm: float
    middle_y_mm: float
    ellipse: Ellipse
    reason: str


class Spectra(NamedTuple):
    """Power density of x and y (mm²/Hz) over frequency (Hz), and half and 95 % of each's power.

    ``reason`` says why there is none, "" if there is one.
    """

    frequency_hz: Array
    x_mm2_hz: Array
    y_mm2_hz: Array
    median_hz: tuple[float, float]
    edge_95_hz: tuple[float, float]
    seconds: float
    reason: str


class Watched:
    """See the module.

    Args:
        setup: of the recording.
        plate_mass_kg: what lies on the cells without the body, for absorption.
        most: samples that are kept, see ``Curves``.

    Attributes:
        curves: every sample, under ``CURVES``.
        events: all that happened, in order.
        view: what the game shows now.
        begin_s: the first sample's board time, NaN before it.
        moves: the base moves: cadence and absorption are told.
        absorbed: the last strides, None on a base that stands.

    Raises:
        SwaytrainerError: as ``Sitting``; or the plate's mass is impossible.
    """

    def __init__(self, setup: Setup, plate_mass_kg: float = 0.0, most: int = 4_000_000) -> None:
        self.setup = setup
        self.curves = Curves(CURVES, most)
        self.events: list[Event] = []
        self.moves = base_moves(setup.level.base)
        self.plate_mass_kg = plate_mass_kg
        self.sitting = Sitting(setup, self._on_loads, self._on_acceleration)
        self.sitting.on_cop = self._on_cop
        self.view: View = self.sitting.view()
        self.begin_s = NAN
        self._rate_hz = setup.board.rate_hz
        self._lands = KINDS[setup.level.game].leaves_board
        self._absorption = self._new_absorption(accelerometer=False) if self.moves else None
        self._accelerometer = False
        self._plate_m_s2 = NAN
        self._loads: Loads = ()
        self._newest_s = -math.inf
        self._times: list[float] = []
        self._rows: list[list[float]] = []

    def _new_absorption(self, accelerometer: bool) -> LiveAbsorption:
        return LiveAbsorption(
            self._rate_hz, accelerometer=accelerometer, plate_mass_kg=self.plate_mass_kg
        )

    @property
    def absorbed(self) -> LiveAbsorbed | None:
        """See the class."""
        return None if self._absorption is None else self._absorption.get()

    @property
    def newest_s(self) -> float:
        """The newest sample's board time, NaN before the first."""
        return self._newest_s if math.isfinite(self._newest_s) else NAN

    def feed(self, inputs: Sequence[Input]) -> None:
        """Take inputs in their order."""
        sitting = self.sitting
        two = self.setup.board.cells == 2 * 4
        for item in inputs:
            first = len(self._rows)
            self.events += sitting.feed(item)
            # The screen's own speed (and, with two plates, right share): one value an arrival.
            # A whole view for each would make an hour's recording slow to open.
            if len(self._rows) > first:
                speed_mm_s = sitting.speed_mm_s
                right = sitting.view().right_share_percent if two else NAN
                for row in self._rows[first:]:
                    # It stands still off the board, where there is no COP.
                    row[_SPEED] = NAN if math.isnan(row[_X]) else speed_mm_s
                    if two:
                        row[_RIGHT] = right
        self.view = sitting.view()
        self.curves.extend(self._times, self._rows)
        self._times, self._rows = [], []

    def _on_loads(self, time_s: float, loads: Loads, gap: bool) -> None:
        if time_s < self._newest_s:
            time_s, gap = self._newest_s, True  # the board's clock began anew
        if math.isnan(self.begin_s):
            self.begin_s = time_s
        elif gap:
            self._times.append(time_s)
            self._rows.append(list(_NOTHING))
        self._newest_s = time_s
        self._loads = loads
        if self._absorption is not None:
            if gap:
                self._absorption.gap()
            self._absorption.update(time_s, sum(loads), self._plate_m_s2)

    def _on_acceleration(self, _time_s: float, up_m_s2: float) -> None:
        self._plate_m_s2 = up_m_s2
        if self.moves and not self._accelerometer:
            self._accelerometer = True
            self._absorption = self._new_absorption(accelerometer=True)

    def _on_cop(self, cop: CopSample) -> None:
        feet, absorbed = self.sitting.feet, self.absorbed
        self._times.append(self._newest_s)
        self._rows.append(
            [
                cop.force_n,
                cop.x_mm,
                cop.y_mm,
                feet.toe_share_percent(cop.y_mm),
                feet.right_share_percent(cop.x_mm),
                NAN,
                *_corners(self._loads),
                NAN if absorbed is None else absorbed.cadence_hz,
                NAN if absorbed is None else absorbed.absorption_percent,
            ]
        )

    def standing(self, to_s: float, seconds: float) -> tuple[Array, Array]:
        """The COP of the last seconds before a board time, as far as it is of one standing.

        The way onto the board and off it is left out: a second from when the board first bears
        nine tenths of the weight, and half a second before it last did. (Two figures of ours; the
        shift onto one leg before stepping off takes some three tenths.) Where a game lands on the
        board, that is the task, and all is kept.

        Returns:
            x and y in mm, shape (N,) each; NaN at gaps, and at the end where nobody stands now.
        """
        from_s = to_s - seconds
        early = 0.0 if self._lands else STEP_ON_S
        time, across = self.curves.stretch("x_mm", from_s - early, to_s)
        along = self.curves.stretch("y_mm", from_s - early, to_s).values
        x: Array = np.asarray(across, dtype=np.float64)
        y: Array = np.asarray(along, dtype=np.float64)
        if not self._lands and x.size:
            force = self.curves.stretch("force_n", from_s - early, to_s).values
            pieces = _pieces(x, force)
            if not pieces:
                return x[:0], y[:0]
            first, last, begin_s, end_s = *pieces[-1], from_s, math.inf
            full = first + np.flatnonzero(force[first:last] >= _FULL * _body(force[first:last]))
            if full[0] > 0:
                begin_s = max(from_s, time[full[0]] + STEP_ON_S)
            gone = last < x.size or self._leaves(force[first:last])
            if gone:
                end_s = time[full[-1]] - STEP_OFF_S
            kept = slice(*np.searchsorted(time[:last], (begin_s, end_s)))
            x, y = x[kept], y[kept]
            if gone:
                x, y = np.append(x, NAN), np.append(y, NAN)
        return x, y

    def stood_until_s(self) -> float:
        """A board time that shows what was done: NaN where nobody stood.

        Where the last trial ended that was stood to its end; else where the last standing of a few
        seconds did, before the weight was shifted to step off.
        """
        ends = [e for e in self.events if e.outcome is not None]
        whole = [e for e in ends if e.outcome is not None and e.outcome.ended == "complete"]
        to_s = whole[-1].time_s if whole else ends[-1].time_s if ends else self._newest_s
        time, x = self.curves.stretch("x_mm", -math.inf, to_s)
        force = self.curves.stretch("force_n", -math.inf, to_s).values
        pieces = _pieces(x, force)
        if not pieces:
            return NAN
        long = [p for p in pieces if time[p[1] - 1] - time[p[0]] >= _STOOD_S]
        first, last = (long or pieces)[-1]
        if last == x.size and not self._leaves(force[first:last]):
            return to_s
        full = first + np.flatnonzero(force[first:last] >= _FULL * _body(force[first:last]))
        return max(float(time[first]), float(time[full[-1]]) - STEP_OFF_S)

    def _leaves(self, force: Values) -> bool:
        """Whether the end of a piece bears so little that somebody is stepping off.

        A moving base swings, and a landing begins and ends so: there this tells nothing.
        """
        if self.moves or self._lands:
            return False
        there = force[np.isfinite(force)]
        return bool(there[-1] < _LEAVING * _body(force))

    def cloud(self, to_s: float, seconds: float = CLOUD_S) -> Cloud:
        """The COP of the last seconds before a board time, and its 95 % prediction ellipse.

        Of one standing, see ``standing``.
        """
        x, y = self.standing(to_s, seconds)
        good = np.isfinite(x) & np.isfinite(y)
        if good.sum() < AREA_LEAST_SAMPLES:
            why = say("No ellipse: too few samples with somebody on the board.")
            return Cloud(x, y, NAN, NAN, Ellipse(NAN, NAN, NAN, NAN), why)
        var = np.cov(x[good], y[good])
        ellipse = prediction_ellipse((float(var[0, 0]), float(var[1, 1]), float(var[0, 1])))
        return Cloud(x, y, float(x[good].mean()), float(y[good].mean()), ellipse, "")

    def spectra(self, to_s: float, seconds: float = SPECTRUM_S) -> Spectra:
        """The spectrum of the last seconds before a board time, back to the last gap at most.

        Of one standing, see ``standing``.
        """
        x, y = self.standing(to_s, seconds)
        if x.size and math.isnan(x[-1]):
            x, y = x[:-1], y[:-1]  # stepped off since
        bad = np.flatnonzero(~(np.isfinite(x) & np.isfinite(y)))
        begin = int(bad[-1]) + 1 if bad.size else 0
        # A fast board's samples are thinned: what lies beyond 40 Hz the causal 10 Hz filter has
        # taken to below a thousandth of its power, so next to nothing folds back.
        every = max(1, int(self._rate_hz // SPECTRUM_RATE_HZ))
        rate_hz = self._rate_hz / every
        x, y = x[begin::every], y[begin::every]
        lasted_s = x.size / rate_hz
        none = np.empty(0)
        nothing = (NAN, NAN)
        if lasted_s < SPECTRUM_LEAST_S:
            why = say(
                "A spectrum needs {least:g} s of standing in one piece.", least=SPECTRUM_LEAST_S
            )
            return Spectra(none, none, none, nothing, nothing, lasted_s, why)
        frequency_hz, px = welch(x, rate_hz, x.size // 2)
        _, py = welch(y, rate_hz, y.size // 2)
        if not (px.max() > 0.0 and py.max() > 0.0):
            why = say("No spectrum: nothing moves, so this is no person.")
            return Spectra(none, none, none, nothing, nothing, lasted_s, why)
        half, edge = (
            (power_quantile_hz(frequency_hz, px, s), power_quantile_hz(frequency_hz, py, s))
            for s in (0.50, 0.95)
        )
        return Spectra(frequency_hz, px, py, half, edge, lasted_s, "")


def _pieces(x: Values | Array, force: Values) -> list[tuple[int, int]]:
    """From which sample to before which somebody was on the board, piece by piece.

    A gap in the signal ends none: only samples with a force and no COP tell of an empty board.
    """
    there = np.flatnonzero(np.isfinite(x))
    if not there.size:
        return []
    empty = np.flatnonzero(np.isfinite(force) & ~np.isfinite(x))
    # Which empty sample comes next is the same for all samples of a piece.
    nexts = np.searchsorted(empty, there)
    cuts = np.flatnonzero(np.diff(nexts)) + 1
    return [(int(p[0]), int(p[-1]) + 1) for p in np.split(there, cuts)]


def _body(force: Values) -> float:
    return float(np.nanmedian(force))


def _corners(loads: Loads) -> tuple[float, float, float, float]:
    """The four corners' loads; with two plates front and rear of each foot."""
    if len(loads) == 4:
        front_left, front_right, rear_left, rear_right = loads
        return front_left, front_right, rear_left, rear_right
    a, b, c, d, e, f, g, h = loads
    return a + b, e + f, c + d, g + h
