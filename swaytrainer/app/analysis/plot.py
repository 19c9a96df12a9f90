"""A trial as a picture: where the COP went, how it and the force went in time, its spectrum."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from swaytrainer.app.analysis.tell import guard_output
from swaytrainer.app.analysis.trials import Analysed, Measured
from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.cop import Array
from swaytrainer.sway.ellipse import Ellipse, prediction_ellipse
from swaytrainer.sway.even import EVEN_WITHIN
from swaytrainer.sway.feet import BALL_SHARE, HEEL_SHARE, Feet
from swaytrainer.sway.gaps import pieces
from swaytrainer.sway.prepare import Trace
from swaytrainer.sway.spectrum import BAND_HIGH_HZ, BAND_LOW_HZ, SPECTRUM_LEAST_S, welch
from swaytrainer.sway.spread import spread

if TYPE_CHECKING:
    from matplotlib.axes import Axes

ENDINGS: Final = (".png", ".svg", ".pdf")
_SIZE_INCH: Final = (12.0, 7.5)
_DPI: Final = 120

# Told apart by lightness and by line style as well as by hue.
_PATH: Final = "#0d253c"
_ML: Final = "#1f77b4"
_AP: Final = "#d1630a"
_FORCE: Final = "#444444"
_SOLE: Final = "#e6e0d2"
_ELLIPSE: Final = "#b3261e"
#: A sole's breadth in foot lengths, for a sketch (from memory, not from a checked source).
_BREADTH: Final = 0.36


class Pictures:
    """Draws trials into files.

    One file with one trial gives the named picture. Otherwise the trials are numbered:
    ``sway.png`` becomes ``sway-001-anna.png`` for the first, from anna.csv.

    Args:
        path: of the picture; its ending tells the format.
        inputs: the files that are read, which it must not be one of.

    Raises:
        SwaytrainerError: another ending, or Matplotlib is missing.
    """

    def __init__(self, path: Path, inputs: Sequence[Path]) -> None:
        guard_output(path, inputs)
        if path.suffix.lower() not in ENDINGS:
            raise SwaytrainerError(
                f"{path} ends in none of {', '.join(ENDINGS)}.", "Name a picture, such as sway.png."
            )
        try:
            import matplotlib  # noqa: F401
        except ImportError:
            raise SwaytrainerError(
                "To draw, --plot needs Matplotlib, which is not installed.",
                'Install it: pip install "swaytrainer[plot]".',
            ) from None
        self._path = path
        self._several = len(inputs) > 1
        self._drawn = 0

    def draw(self, trial: Measured, analysed: Analysed) -> Path:
        """Draw one trial; where it is.

        Raises:
            SwaytrainerError: the file can't be written.
        """
        self._drawn += 1
        path = self._path
        if self._several or len(analysed.trials) > 1:
            stem = analysed.file.name.split(".")[0]
            path = path.with_name(f"{path.stem}-{self._drawn:03d}-{stem}{path.suffix}")
        try:
            picture(trial, analysed.file).savefig(path, dpi=_DPI)
        except OSError as error:
            raise SwaytrainerError(
                f"Can't write {path}: {error.strerror}.", "Give --plot another place."
            ) from None
        return path


def picture(trial: Measured, file: Path) -> Any:
    """The figure of one trial of a file (a Matplotlib ``Figure``)."""
    from matplotlib.figure import Figure

    trace = trial.trace
    title = trial.title.replace(str(file), file.name)
    figure = Figure(figsize=_SIZE_INCH, layout="constrained")
    figure.suptitle(
        f"{title}\n{trace.duration_s:.2f} s at {trace.rate_hz:.4g} Hz; filter: {trace.filter}",
        fontsize=11,
    )
    grid = figure.add_gridspec(6, 2, width_ratios=(1.0, 1.25))
    _stabilogram(figure.add_subplot(grid[:4, 0]), trial)
    _spectrum(figure.add_subplot(grid[4:, 0]), trace)
    first = figure.add_subplot(grid[:2, 1])
    time_s = trace.time_s - trace.time_s[0]
    _series(first, time_s, trace, trace.x_mm, "x, right + (mm)", _ML)
    second = figure.add_subplot(grid[2:4, 1], sharex=first)
    _series(second, time_s, trace, trace.y_mm, "y, forward + (mm)", _AP)
    third = figure.add_subplot(grid[4:, 1], sharex=first)
    _series(third, time_s, trace, trace.force_n, "force (N)", _FORCE)
    third.set_xlabel("time (s)")
    first.tick_params(labelbottom=False)
    second.tick_params(labelbottom=False)
    return figure


def _broken(values: Array, trace: Trace) -> tuple[Array, Array]:
    """Where a line must be lifted: NaN goes before each sample that no interval leads to."""
    cuts = np.flatnonzero(trace.breaks[1:]) + 1
    time_s = trace.time_s - trace.time_s[0]
    return np.insert(time_s, cuts, np.nan), np.insert(values, cuts, np.nan)


def _series(
    axes: Axes, time_s: Array, trace: Trace, values: Array, label: str, colour: str
) -> None:
    axes.set_ylabel(label)
    axes.grid(alpha=0.3)
    axes.set_xlim(0.0, float(time_s[-1]))
    if np.isnan(values).all():
        axes.text(0.5, 0.5, "not in the file", transform=axes.transAxes, ha="center")
        axes.set_yticks([])
        return
    axes.plot(*_broken(values, trace), color=colour, linewidth=0.8)


def _stabilogram(axes: Axes, trial: Measured) -> None:
    trace = trial.trace
    if trial.feet is not None:
        _soles(axes, trial.feet)
    _, x_mm = _broken(trace.x_mm, trace)
    _, y_mm = _broken(trace.y_mm, trace)
    axes.plot(x_mm, y_mm, color=_PATH, linewidth=0.6, label="COP")
    about = spread(trace.x_mm, trace.y_mm)
    ellipse = prediction_ellipse(about.covariance_mm2)
    x, y = float(np.nanmean(trace.x_mm)), float(np.nanmean(trace.y_mm))
    if ellipse.ellipse_major_mm > 0.0:
        axes.plot(
            *_outline(ellipse, x, y),
            color=_ELLIPSE,
            linewidth=1.6,
            linestyle="--",
            label=f"95 % prediction ellipse, {ellipse.ellipse_area_mm2:.0f} mm²",
        )
    axes.plot([x], [y], "+", color=_ELLIPSE, markersize=10, label="mean")
    axes.set_aspect("equal", adjustable="datalim")
    axes.set_xlabel("x, right + (mm)")
    axes.set_ylabel("y, forward + (mm)")
    axes.grid(alpha=0.3)
    axes.legend(fontsize=8, loc="lower center", bbox_to_anchor=(0.5, 1.0), ncols=3, frameon=False)


def _outline(ellipse: Ellipse, x_mm: float, y_mm: float) -> tuple[Array, Array]:
    turn = np.linspace(0.0, 2.0 * np.pi, 181)
    along = ellipse.ellipse_major_mm * np.cos(turn)
    across = ellipse.ellipse_minor_mm * np.sin(turn)
    angle = np.radians(np.nan_to_num(ellipse.ellipse_angle_deg))
    return (
        x_mm + along * np.cos(angle) - across * np.sin(angle),
        y_mm + along * np.sin(angle) + across * np.cos(angle),
    )


def _soles(axes: Axes, feet: Feet) -> None:
    """A sketch of both soles, with the lines on which heels and balls bear."""
    from matplotlib.patches import FancyBboxPatch

    length = (feet.ball_y_mm - feet.heel_y_mm) / (BALL_SHARE - HEEL_SHARE)
    back = feet.heel_y_mm - HEEL_SHARE * length
    half = 0.5 * _BREADTH * length
    for middle in (feet.left_x_mm, feet.right_x_mm):
        axes.add_patch(
            FancyBboxPatch(
                (middle - half, back),
                2.0 * half,
                length,
                boxstyle=f"round,pad=0,rounding_size={0.9 * half}",
                facecolor=_SOLE,
                edgecolor="#8a8371",
                zorder=0,
            )
        )
        for line_y in (feet.heel_y_mm, feet.ball_y_mm):
            axes.plot(
                [middle - half, middle + half], [line_y] * 2, ":", color="#8a8371", linewidth=1.0
            )
    axes.text(feet.left_x_mm, feet.ball_y_mm, "balls", fontsize=7, ha="center", va="bottom")
    axes.text(feet.left_x_mm, feet.heel_y_mm, "heels", fontsize=7, ha="center", va="bottom")


def _spectrum(axes: Axes, trace: Trace) -> None:
    axes.set_xlabel("frequency (Hz)")
    axes.set_ylabel("power (mm²/Hz)")
    whole = max(pieces(~trace.breaks[1:]), key=lambda piece: piece.stop - piece.start)
    time_s = trace.time_s[whole]
    if time_s.size / trace.rate_hz < SPECTRUM_LEAST_S * (1.0 - 1e-9) or np.isnan(
        trace.x_mm[whole.start]
    ):
        axes.text(
            0.5,
            0.5,
            f"needs {SPECTRUM_LEAST_S:g} s without a gap",
            transform=axes.transAxes,
            ha="center",
        )
        return
    # As the measures do: only stamps that are uneven beyond ``EVEN_WITHIN`` are interpolated.
    even_s = np.linspace(time_s[0], time_s[-1], time_s.size)
    uneven = float(np.abs(time_s - even_s).max()) * trace.rate_hz > EVEN_WITHIN
    for values, label, colour, style in (
        (trace.x_mm, "x", _ML, "-"),
        (trace.y_mm, "y", _AP, "--"),
    ):
        even = np.interp(even_s, time_s, values[whole]) if uneven else values[whole]
        frequency_hz, density = welch(even, trace.rate_hz, time_s.size // 2)
        seen = (frequency_hz > 0.0) & (frequency_hz <= 10.0) & (density > 0.0)
        if seen.any():
            axes.loglog(
                frequency_hz[seen], density[seen], style, color=colour, linewidth=1.0, label=label
            )
    axes.axvspan(BAND_LOW_HZ, BAND_HIGH_HZ, color="#000000", alpha=0.05)
    axes.set_title(
        f"Welch, Hann windows of {time_s.size // 2 / trace.rate_hz:.3g} s"
        f"{', put on an even grid' if uneven else ''}; grey: {BAND_LOW_HZ:g} to"
        f" {BAND_HIGH_HZ:g} Hz",
        fontsize=8,
    )
    axes.xaxis.set_major_formatter("{x:g}")
    axes.grid(alpha=0.3, which="both")
    if axes.get_legend_handles_labels()[0]:
        axes.legend(fontsize=8, loc="lower left")
