"""The families of measures that ``analyse --as`` chooses from.

A family is a module with ``X_MEASURES``, what each key stands for, and a function ``measure_x``
that takes a trace, and whatever of ``Known`` it has a parameter for, and returns ``values`` under
exactly those keys and ``notes``. One line in ``FAMILIES`` adds one; its module is loaded when it is
asked for.
"""

from __future__ import annotations

import importlib
import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any, Final, NamedTuple, Protocol

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.motion.acceleration import PlateAcceleration
from swaytrainer.sway.feet import Feet
from swaytrainer.sway.prepare import Trace
from swaytrainer.sway.table import (
    FOOT_MEASURES,
    MEASURES,
    Measure,
    foot_measures,
    measure_sway,
)


class Result(Protocol):
    """What every family's function returns."""

    @property
    def values(self) -> Mapping[str, float]:
        """Under the family's keys, NaN where not measurable."""

    @property
    def notes(self) -> tuple[str, ...]:
        """Why something is NaN or doubtful, in sentences."""


@dataclass(frozen=True, slots=True)
class Known:
    """What is known beside the trace; a family's function gets those it names as parameters.

    Attributes:
        feet: where they stand.
        band_percent: the toe share's band, from and to.
        plate: the plate's acceleration, if there is an accelerometer.
        plate_mass_kg: all that lies on the cells without the body; None if unknown.
        loads_cutoff_hz: how the loads were filtered, None for not at all.
        each_foot: the left foot's own trace and the right one's, with a plate a foot.
    """

    feet: Feet | None = None
    band_percent: tuple[float, float] = (35.0, 50.0)
    plate: PlateAcceleration | None = None
    plate_mass_kg: float | None = None
    loads_cutoff_hz: float | None = None
    each_foot: tuple[Trace, Trace] | None = None


class Family(NamedTuple):
    """A family of measures.

    Attributes:
        what: in a few words, for the help.
        module, measures, function: where they are found.
        cutoff_hz: of the filter, None for none: a landing's peak must not be smoothed away.
    """

    what: str
    module: str
    measures: str
    function: str
    cutoff_hz: float | None = 10.0


@dataclass(frozen=True, slots=True)
class StandingResult:
    """The sway measures, and where the feet are known the foot measures."""

    values: Mapping[str, float]
    notes: tuple[str, ...] = ()


STANDING_MEASURES: Final[Mapping[str, Measure]] = MappingProxyType({**MEASURES, **FOOT_MEASURES})


def measure_standing(
    trace: Trace, feet: Feet | None, band_percent: tuple[float, float]
) -> StandingResult:
    """All of ``MEASURES``, and of ``FOOT_MEASURES`` if the feet are known.

    Args:
        trace: the trial.
        feet: where they stood; None leaves the foot measures out.
        band_percent: the toe share's band, from and to.
    """
    if np.isnan(trace.force_n).all():
        # A force that nobody told can't be too small: one that is not is put in its place.
        trace = replace(trace, force_n=np.full(trace.time_s.shape, 1000.0))
    sway = measure_sway(trace)
    if feet is None:
        return StandingResult(sway.values, sway.notes)
    values = {**sway.values, **foot_measures(trace, feet, *band_percent)}
    return StandingResult(values, (*sway.notes, *_shares_note(trace, feet)))


def _shares_note(trace: Trace, feet: Feet) -> tuple[str, ...]:
    """How well the shares are known: as well as it is known where heels, balls and feet are."""
    if feet.u_line_mm is None or feet.u_side_mm is None or np.isnan(trace.x_mm).all():
        return ()
    toes = feet.toe_share_within_percent(float(np.nanmean(trace.y_mm)))
    right = feet.right_share_within_percent(float(np.nanmean(trace.x_mm)))
    return (
        f"The toe share is good to ±{toes:.1f}, the right share to ±{right:.1f} of 100 (95 %), by"
        " how well it is known where heels, balls and both feet bear.",
    )


STANDING: Final = "standing"
FAMILIES: Final[Mapping[str, Family]] = MappingProxyType(
    {
        STANDING: Family(
            "sway of somebody standing still", __name__, "STANDING_MEASURES", "measure_standing"
        ),
        "absorption": Family(
            "a moving base taken up by the knees",
            "swaytrainer.motion.absorption",
            "ABSORPTION_MEASURES",
            "measure_absorption",
            None,
        ),
        "strides": Family(
            "the cadence of a moving base",
            "swaytrainer.motion.strides",
            "STRIDE_MEASURES",
            "measure_strides",
            None,
        ),
        "own-sway": Family(
            "the vaulter's own unsteadiness on a moving base",
            "swaytrainer.motion.unsteadiness",
            "UNSTEADINESS_MEASURES",
            "measure_own_sway",
        ),
        "landing": Family(
            "landings",
            "swaytrainer.motion.landing",
            "LANDING_MEASURES",
            "measure_landing",
            None,
        ),
        "squat": Family("squats", "swaytrainer.motion.squat", "SQUAT_MEASURES", "measure_squat"),
        "one-leg": Family(
            "standing on one leg",
            "swaytrainer.motion.one_leg",
            "ONE_LEG_MEASURES",
            "measure_one_leg",
        ),
        "support": Family(
            "hand taken, step, fall, hop, on a still base",
            "swaytrainer.motion.support",
            "SUPPORT_MEASURES",
            "measure_support",
        ),
        "two-feet": Family(
            "each foot on a plate of its own",
            "swaytrainer.motion.two_feet",
            "TWO_FEET_MEASURES",
            "measure_each_foot",
        ),
    }
)


def measures_of(family: Family) -> Mapping[str, Measure]:
    """What each key of a family stands for."""
    found: Mapping[str, Measure] = getattr(importlib.import_module(family.module), family.measures)
    return found


def measure(family: Family, trace: Trace, known: Known) -> Result:
    """Measure a trace as one family does.

    Raises:
        SwaytrainerError: the family must know the feet, and they are not known.
    """
    function: Callable[..., Result] = getattr(
        importlib.import_module(family.module), family.function
    )
    given: dict[str, Any] = {}
    for name, parameter in inspect.signature(function).parameters.items():
        if not hasattr(known, name):
            continue
        given[name] = getattr(known, name)
        if name == "feet" and known.feet is None and parameter.annotation in ("Feet", Feet):
            raise SwaytrainerError(
                f"To measure {family.what}, it must be known where the feet stood.",
                "Give --foot-length, --stance-width and --heel-line.",
            )
    if "trace" not in inspect.signature(function).parameters:
        return function(**given)
    return function(trace, **given)
