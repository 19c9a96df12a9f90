"""The numbers and lines of text beside the curves: what they say, not how they look."""

from __future__ import annotations

import math

from swaytrainer.scope.watched import Cloud, Spectra, Watched


def number(value: float, digits: int, unit: str) -> str:
    """A value and its unit, or a dash where there is none.

    >>> number(41.26, 0, "%"), number(math.nan, 0, "%")
    ('41 %', '–')
    """
    if not math.isfinite(value):
        return "–"
    return f"{round(value, digits) + 0.0:.{digits}f} {unit}"  # + 0.0: no minus before a zero


def title(watched: Watched, made: str) -> str:
    """Who, what, when."""
    level = watched.setup.level
    day = made[:16].replace("T", " ")
    return (
        f"{watched.setup.vaulter.name} · {level.title} · {level.base}, {level.stance},"
        f" eyes {level.eyes} · {day}"
    )


def values(watched: Watched, at_s: float) -> list[tuple[str, str]]:
    """The large numbers at a board time: (name, value)."""

    def at(name: str) -> float:
        return watched.curves.value(name, at_s)

    shown = [
        ("force", number(at("force_n"), 0, "N")),
        ("toes", number(at("toe_share_percent"), 0, "%")),
        ("right", number(at("right_share_percent"), 0, "%")),
        ("speed", number(at("speed_mm_s"), 1, "mm/s")),
        ("noise floor", number(watched.view.signal.noise_floor_mm_s, 2, "mm/s")),
    ]
    if watched.moves:
        shown += [
            ("cadence", number(at("cadence_hz"), 2, "/s")),
            ("absorbed", number(at("absorption_percent"), 0, "%")),
        ]
    return shown


def state(watched: Watched) -> str:
    """Where the sitting stands now."""
    view = watched.view
    left = f", {view.left_s:.0f} s left" if view.left_s > 0.0 else ""
    marks = ", ".join("–" if m is None else f"{m:.1f}" for m in view.marks)
    return (
        f"{view.phase}{left} · trial {view.trial} of {view.trials} · pass at"
        f" {view.level.pass_mark:g}" + (f" · marks so far: {marks}" if marks else "")
    )


def health(watched: Watched) -> tuple[bool, str]:
    """Whether all is well with the board, and a line on it."""
    view = watched.view
    signal = view.signal
    if view.warnings:
        return False, " ".join(view.warnings)
    if not signal.connected:
        return False, "No signal from the board."
    line = (
        f"Cells and link are well: {signal.rate_hz:.0f} samples a second, {signal.lost} lost,"
        f" {signal.corrupt} corrupt"
    )
    return True, f"{line}, jitter {number(signal.jitter_ms, 1, 'ms')}."


def ellipse_line(cloud: Cloud) -> str:
    """The ellipse in words."""
    e = cloud.ellipse
    if cloud.reason:
        return cloud.reason
    return (
        f"Ellipse (95 % of further samples): {e.ellipse_area_mm2:.0f} mm²,"
        f" {2 * e.ellipse_major_mm:.0f} × {2 * e.ellipse_minor_mm:.0f} mm"
    )


def spectrum_line(spectra: Spectra) -> str:
    """The spectrum in words."""
    if spectra.reason:
        return spectra.reason
    (mx, my), (ex, ey) = spectra.median_hz, spectra.edge_95_hz
    return (
        f"Half the power below {mx:.2f} Hz across, {my:.2f} Hz along; 95 % below {ex:.1f} and"
        f" {ey:.1f} Hz ({spectra.seconds:.0f} s)"
    )


def strides_line(watched: Watched) -> str:
    """What is known of the strides; "" on a base that stands."""
    absorbed = watched.absorbed
    if absorbed is None:
        return ""
    if absorbed.reason:
        return absorbed.reason
    mass = watched.plate_mass_kg
    taken = f"plate of {mass:g} kg taken out" if mass else "the plate's own mass not taken out"
    return f"Of the last {absorbed.strides} strides; {taken}."
