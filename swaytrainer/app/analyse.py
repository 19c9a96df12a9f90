"""``swaytrainer analyse``: the measures of anybody's trials, file by file."""

from __future__ import annotations

import argparse
import sys
import time
from typing import Any, Final

from swaytrainer.app.analysis.families import FAMILIES, Family, Known, measures_of
from swaytrainer.app.analysis.inputs import files_meant
from swaytrainer.app.analysis.progress import ProgressLine
from swaytrainer.app.analysis.tell import RowWriter, as_json, json_text, text_of
from swaytrainer.app.analysis.trials import Analysed, How, Measured, analyse_file
from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.feet import Feet

_FEET: Final = ("foot_length", "stance_width", "heel_line")
_FEET_RANGES: Final = ((120.0, 330.0), (60.0, 500.0), (-400.0, 100.0))


def run(options: argparse.Namespace) -> int:
    """Analyse the files that the options name; the exit status.

    A file that can't be analysed is told on standard error by its name, the others go on, and the
    status is 1.

    Raises:
        SwaytrainerError: nothing at all can be done as asked; or the only file can't be analysed.
    """
    how = _how(options)
    files = files_meant(options.files)
    about = measures_of(how.family)
    rows = None
    if options.csv is not None:
        rows = RowWriter(options.csv, options.family, tuple(about), files)
    pictures = None
    if options.plot is not None:
        from swaytrainer.app.analysis.plot import Pictures

        pictures = Pictures(options.plot, files)
    line = ProgressLine(len(files), sys.stderr, time.monotonic)
    told: list[dict[str, Any]] = []
    failed: list[dict[str, str]] = []
    for done, file in enumerate(files):
        line.show(done, file.name)
        try:
            analysed = analyse_file(file, how)
        except SwaytrainerError as error:
            if len(files) == 1:
                raise
            line.clear()
            print(f"swaytrainer: {error}", file=sys.stderr)
            failed.append({"file": str(file), "error": str(error)})
            continue
        line.clear()
        if rows is not None:
            rows.add(analysed)
        if pictures is not None:
            _draw(pictures, analysed)
        if options.json:
            told.append(as_json(analysed))
        else:
            print(text_of(analysed, about), end="\n" if len(files) == 1 else "\n\n")
    line.clear()
    if options.json:
        print(json_text(told[0] if len(files) == 1 else {"files": told, "failed": failed}))
    if failed:
        print(
            f"swaytrainer: {len(failed)} of {len(files)} files could not be analysed.",
            file=sys.stderr,
        )
    return 1 if failed else 0


def _draw(pictures: Any, analysed: Analysed) -> None:
    for trial in analysed.trials:
        if isinstance(trial, Measured):
            pictures.draw(trial, analysed)


def _how(options: argparse.Namespace) -> How:
    return How(
        family=_family(options.family),
        filtered=not options.no_filter,
        half_width_mm=options.half_width,
        half_depth_mm=options.half_depth,
        plate=_plate(options.plate),
        forward_edge=options.forward_edge,
        known=Known(_feet(options), _band(options), plate_mass_kg=_plate_mass(options)),
        empty=options.empty,
    )


def _family(name: str) -> Family:
    if name not in FAMILIES:
        known = "; ".join(f"{key}: {family.what}" for key, family in FAMILIES.items())
        raise SwaytrainerError(f"--as knows no {name!r}.", f"Choose one of {known}.")
    return FAMILIES[name]


def _plate(given: str | None) -> str | None:
    if given is None or given == "all" or (given.isascii() and given.isdigit()):
        return given
    raise SwaytrainerError(f"--plate {given} is no plate.", "Give a number from 1, or 'all'.")


def _plate_mass(options: argparse.Namespace) -> float | None:
    mass: float | None = options.plate_mass
    if mass is not None and not 0.0 <= mass <= 60.0:
        raise SwaytrainerError(
            f"--plate-mass {mass:g} can't be.", "Give what lies on the cells without the body, kg."
        )
    return mass


def _feet(options: argparse.Namespace) -> Feet | None:
    given = [getattr(options, name) for name in _FEET]
    if all(value is None for value in given):
        return None
    for name, value in zip(_FEET, given, strict=True):
        if value is None:
            raise SwaytrainerError(
                f"--{name.replace('_', '-')} is missing: the feet need all three.",
                "Give --foot-length, --stance-width and --heel-line in mm.",
            )
    for name, value, (low, high) in zip(_FEET, given, _FEET_RANGES, strict=True):
        if not low <= value <= high:
            raise SwaytrainerError(
                f"--{name.replace('_', '-')} {value:g} can't be.",
                f"Give it in mm, {low:g} to {high:g}.",
            )
    return Feet.from_length(*given)


def _band(options: argparse.Namespace) -> tuple[float, float]:
    low, high = options.band
    if not 0.0 <= low < high <= 100.0:
        raise SwaytrainerError(
            f"A band from {low:g} to {high:g} % of toe share is none.",
            "Give two numbers from 0 to 100, the smaller first.",
        )
    return low, high
