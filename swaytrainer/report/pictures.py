"""The pictures on paper: dark on light, told apart by shape and line, so that grey loses nothing.

Letters are drawn as paths: the page looks the same whatever fonts there are.
"""

from __future__ import annotations

import base64
import io
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.report.sheets import Curve, Soles
from swaytrainer.sway.ellipse import prediction_ellipse
from swaytrainer.sway.outline import outline_mm, toe_share_y_mm
from swaytrainer.sway.spread import spread
from swaytrainer.words import number, say, tr

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.ticker import ScalarFormatter

_INK: Final = "#14202e"
_SOLE: Final = "#ededed"
_EDGE: Final = "#777777"
_BAND: Final = "#c9c9c9"
_SOLES_INCH: Final = (2.75, 3.0)
_CURVE_INCH: Final = (3.5, 1.85)
#: Points of a path that a picture of this size can show.
_POINTS: Final = 1500


def as_image(svg: str) -> str:
    """The source of an image that stands in the page itself."""
    return "data:image/svg+xml;base64," + base64.b64encode(svg.encode()).decode()


def soles_svg(soles: Soles) -> str:
    """Both soles from above with the band that was asked for, the COP's way and its ellipse.

    Raises:
        SwaytrainerError: Matplotlib is missing.
    """
    figure, axes = _figure(_SOLES_INCH)
    from matplotlib.patches import Polygon

    outlines = [np.array(outline_mm(soles.feet, side)) for side in (-1, 1)]
    low, high = (toe_share_y_mm(soles.feet, share) for share in soles.band)
    for outline in outlines:
        sole = Polygon(outline, closed=True, facecolor=_SOLE, edgecolor=_EDGE, linewidth=0.8)
        axes.add_patch(sole)
    points = np.concatenate(outlines)
    left, right = points[:, 0].min() - 12.0, points[:, 0].max() + 12.0
    axes.axhspan(low, high, facecolor="none", edgecolor=_BAND, hatch="////", linewidth=0.0)
    for y in (low, high):
        axes.plot([left, right], [y, y], color=_EDGE, linewidth=0.8, linestyle=":")
    step = max(1, soles.x_mm.size // _POINTS)
    axes.plot(soles.x_mm[::step], soles.y_mm[::step], color=_INK, linewidth=0.6)
    _magnified(axes, soles, outlines)
    _draw_ellipse(axes, soles)
    middle = (left + right) / 2.0
    top, bottom = points[:, 1].max() + 6.0, points[:, 1].min() - 6.0
    style: dict[str, Any] = {"ha": "center", "fontsize": 8, "color": _INK}
    toes = tr(say("Toes {share:.0f} %", share=soles.toe_share))
    heels = tr(say("Heels {share:.0f} %", share=100.0 - soles.toe_share))
    axes.text(middle, top, toes, va="bottom", **style)
    axes.text(middle, bottom, heels, va="top", **style)
    for x, words, share in (
        (left, say("Left {share:.0f} %", share=100.0 - soles.right_share), "left"),
        (right, say("Right {share:.0f} %", share=soles.right_share), "right"),
    ):
        axes.text(x, bottom, tr(words), va="top", ha=share, fontsize=8, color=_INK)
    axes.set_xlim(left, right)
    axes.set_ylim(bottom - 16.0, top + 16.0)
    axes.set_aspect("equal")
    axes.set_axis_off()
    return _svg(figure)


def _draw_ellipse(axes: Axes, soles: Soles) -> None:
    from matplotlib.patches import Ellipse

    ellipse = prediction_ellipse(spread(soles.x_mm, soles.y_mm).covariance_mm2)
    if ellipse.ellipse_major_mm > 0.0:
        axes.add_patch(
            Ellipse(
                (float(np.nanmean(soles.x_mm)), float(np.nanmean(soles.y_mm))),
                2.0 * ellipse.ellipse_major_mm,
                2.0 * ellipse.ellipse_minor_mm,
                angle=float(np.nan_to_num(ellipse.ellipse_angle_deg)),
                facecolor="none",
                edgecolor=_INK,
                linewidth=1.2,
                linestyle="--",
            )
        )


def _magnified(axes: Axes, soles: Soles, outlines: list[Any]) -> None:
    """The way once more between the toes, several times as large: a calm one is a dot else."""
    x, y = soles.x_mm[~np.isnan(soles.x_mm)], soles.y_mm[~np.isnan(soles.y_mm)]
    gap = outlines[1][:, 0].min() - outlines[0][:, 0].max()
    reach = 1.25 * max(float(np.ptp(x)), float(np.ptp(y)))
    if reach <= 0.0 or gap <= 0.0:
        return
    times = int(gap / reach)
    if times < 2:
        return
    side = gap * 0.9
    top = max(outline[:, 1].max() for outline in outlines)
    middle = float(outlines[0][:, 0].max() + gap / 2.0)
    inset = axes.inset_axes((middle - side / 2.0, top - side, side, side), transform=axes.transData)
    half = side / times / 2.0
    centre_x, centre_y = (float(x.max() + x.min()) / 2.0, float(y.max() + y.min()) / 2.0)
    step = max(1, soles.x_mm.size // _POINTS)
    inset.plot(soles.x_mm[::step], soles.y_mm[::step], color=_INK, linewidth=0.6)
    _draw_ellipse(inset, soles)
    inset.set_xlim(centre_x - half, centre_x + half)
    inset.set_ylim(centre_y - half, centre_y + half)
    inset.set_xticks([])
    inset.set_yticks([])
    for spine in inset.spines.values():
        spine.set_color(_EDGE)
        spine.set_linewidth(0.6)
    axes.text(middle, top - side - 3.0, f"× {times}", ha="center", va="top", fontsize=7, color=_INK)


def curve_svg(curve: Curve) -> str:
    """One measure over the days, with the band of ordinary days.

    Raises:
        SwaytrainerError: Matplotlib is missing.
    """
    figure, axes = _figure(_CURVE_INCH)
    x = [day.toordinal() for day, _ in curve.days]
    y = [value for _, value in curve.days]
    if curve.ordinary is not None:
        axes.axhspan(*curve.ordinary, facecolor=_SOLE, edgecolor=_EDGE, linewidth=0.0)
        for edge in curve.ordinary:
            axes.axhline(edge, color=_EDGE, linewidth=0.7, linestyle=":")
    axes.plot(x, y, color=_INK, linewidth=0.8, marker="o", markersize=3.5)
    reach = [*y, *(curve.ordinary or ())]
    room = 0.12 * (max(reach) - min(reach)) or 1.0
    axes.set_ylim(min(reach) - room, max(reach) + room)
    ticks = sorted({x[0], x[len(x) // 2], x[-1]})
    axes.set_xticks(ticks)
    axes.set_xticklabels([_day(n, curve) for n in ticks], fontsize=7)
    axes.tick_params(axis="y", labelsize=7, length=2)
    axes.tick_params(axis="x", length=2)
    margin = max(1.0, 0.06 * (x[-1] - x[0]))
    axes.set_xlim(x[0] - margin, x[-1] + margin)
    axes.yaxis.set_major_formatter(_numbers())
    if curve.unit:
        axes.set_ylabel(curve.unit, fontsize=7)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    return _svg(figure)


def _numbers() -> ScalarFormatter:
    """What an axis says at its marks, with the decimal sign of the language in use."""
    from matplotlib.ticker import ScalarFormatter

    class Numbers(ScalarFormatter):
        def __call__(self, x: float, pos: int | None = None) -> str:
            return super().__call__(x, pos).replace(".", number(0.5, ".1f")[1])

    return Numbers(useOffset=False)


def _day(ordinal: int, curve: Curve) -> str:
    day = next(day for day, _ in curve.days if day.toordinal() == ordinal)
    return day.strftime(tr(say("%m-%d")))


def _figure(size: tuple[float, float]) -> tuple[Figure, Axes]:
    try:
        from matplotlib.figure import Figure
    except ImportError:
        raise SwaytrainerError(
            say("To draw on a sheet, Matplotlib is needed, which is not installed."),
            say('Install it: pip install "swaytrainer[report]".'),
        ) from None
    figure = Figure(figsize=size, layout="constrained")
    return figure, figure.add_subplot()


def _svg(figure: Figure) -> str:
    import matplotlib

    file = io.StringIO()
    # The same page from the same numbers: no date, no random ids.
    with matplotlib.rc_context({"svg.fonttype": "path", "svg.hashsalt": "swaytrainer"}):
        figure.savefig(file, format="svg", transparent=True, metadata={"Date": None})
    return file.getvalue()
