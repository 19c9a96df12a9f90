"""Force plates out of a C3D file (an open format: the C3D User Guide, c3d.org).

The file is read by the ``c3d`` library; what its plates mean stands in ``force_plate``.
"""

from __future__ import annotations

import math
import warnings
from pathlib import Path
from typing import Any, BinaryIO, Final, NamedTuple

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.force_plate import CHANNELS, Plate, joint_load, wrench_of
from swaytrainer.store.plate_series import PlateSeries, series_of_moments
from swaytrainer.sway.cop import Array

#: The second byte of every C3D file.
KEY: Final = 0x50
SUFFIX: Final = ".c3d"
#: ``--plate``: all of them as one.
ALL: Final = "all"

_MM: Final = {"mm": 1.0, "cm": 10.0, "m": 1000.0}
_NMM: Final = {"nmm": 1.0, "ncm": 10.0, "nm": 1000.0}
_NEWTONS: Final = {"n": 1.0, "newton": 1.0, "newtons": 1.0, "kn": 1000.0}
_OTHER_FORCES: Final = ("kg", "kgf", "kp", "lb", "lbs", "lbf")
_HEADER_BYTES: Final = 512


class _Channels(NamedTuple):
    values: Array  # (channels, N)
    units: list[str]
    rate_hz: float


def read_c3d(path: Path, plate: str | None = None, forward_edge: str = "12") -> PlateSeries:
    """The samples of a plate, or of all as if they were one.

    Times count from the first sample. Nothing is subtracted: FORCE_PLATFORM:ZERO is not used.

    Args:
        path: the file.
        plate: its number from 1, or ``ALL``; None if there is but one.
        forward_edge: the edge of the (first) plate that the toes point to, by its two corners:
            "12", "23", "34" or "41".

    Raises:
        SwaytrainerError: it is no C3D file, is damaged, or has no plate that can be read.
    """
    try:
        with path.open("rb") as file:
            head = file.read(_HEADER_BYTES)
            if len(head) < _HEADER_BYTES or head[1] != KEY:
                raise SwaytrainerError(
                    f"{path} is no C3D file.", "Give a C3D file, or name it for what it is."
                )
            file.seek(0)
            with warnings.catch_warnings():
                # What the library warns of is checked below, and told as an error or a note.
                warnings.simplefilter("ignore")
                return _read(file, path, plate, forward_edge)
    except SwaytrainerError:
        raise
    except OSError as error:
        raise SwaytrainerError(
            f"Can't read {path}: {error.strerror}.", "Check the path and the file."
        ) from None
    except Exception as error:
        # A damaged file makes the library raise nearly anything.
        raise SwaytrainerError(
            f"{path} is a damaged C3D file: {type(error).__name__}.", "Export it again."
        ) from None


def _read(file: BinaryIO, path: Path, plate: str | None, forward_edge: str) -> PlateSeries:
    from c3d import Reader

    reader = Reader(file)
    used = _numbers(reader, "FORCE_PLATFORM:USED")
    count = 0 if used is None or not used.size else int(used.flat[0])
    if count < 1:
        raise SwaytrainerError(
            f"{path} holds no force plate.", "Export it with the group FORCE_PLATFORM."
        )
    channels = _channels(reader, path)
    to_mm, said = _point_unit(reader, path)
    plates = [
        _plate(reader, path, channels, number, to_mm, said)
        for number in _wanted(path, plate, count, reader, channels)
    ]
    load = joint_load(plates, forward_edge)
    _check_inside(path, plates, load.force_n, load.force_x_nmm, load.force_y_nmm)
    who = " and ".join(f"plate {p.number} (type {p.kind})" for p in plates)
    notes = (
        f"Read from C3D: {who}; forward is over the edge of corners {forward_edge[0]} and"
        f" {forward_edge[1]}; no baseline was subtracted.",
        *said,
        *load.notes,
    )
    time_s = np.arange(load.force_n.size) / channels.rate_hz
    return series_of_moments(time_s, load.force_n, load.force_x_nmm, load.force_y_nmm, notes=notes)


def _wanted(
    path: Path, plate: str | None, count: int, reader: Any, channels: _Channels
) -> range | list[int]:
    if plate == ALL:
        return range(1, count + 1)
    if plate is None:
        if count == 1:
            return [1]
        loads = ", ".join(
            f"{number}: {_mean_force(reader, channels, number):.0f} N"
            for number in range(1, count + 1)
        )
        raise SwaytrainerError(
            f"{path} holds {count} force plates (mean vertical channel {loads}).",
            f"Choose one with --plate 1 to {count}, or --plate {ALL} for their joint COP.",
        )
    number = int(plate)
    if not 1 <= number <= count:
        raise SwaytrainerError(
            f"{path} has no plate {number}: it holds {count}.", f"Choose from 1 to {count}."
        )
    return [number]


def _mean_force(reader: Any, channels: _Channels, number: int) -> float:
    """A hint for choosing: the mean of what looks like the vertical force."""
    kind, places = _kind_and_places(reader, number)
    vertical = places[4:8] if kind == 3 else places[2:3]
    return float(sum(channels.values[place - 1].mean() for place in vertical))


def _kind_and_places(reader: Any, number: int) -> tuple[int, list[int]]:
    kinds = _numbers(reader, "FORCE_PLATFORM:TYPE")
    places = _numbers(reader, "FORCE_PLATFORM:CHANNEL")
    if kinds is None or places is None or kinds.size < number:
        raise SwaytrainerError(
            f"Force plate {number} has no TYPE or no CHANNEL.", "Export the file again."
        )
    kind = int(kinds.flat[number - 1])
    if kind not in CHANNELS:
        raise SwaytrainerError(
            f"Force plate {number} is of type {kind}; types 1 to 4 can be read.",
            "Export force and moments (type 2).",
        )
    # A file with a single plate may leave the last dimension out.
    rows = places if places.ndim > 1 else places[None]
    if rows.shape[0] < number or rows.shape[1] < CHANNELS[kind]:
        raise SwaytrainerError(
            f"Force plate {number} of type {kind} needs {CHANNELS[kind]} channels.",
            "Mend FORCE_PLATFORM:CHANNEL.",
        )
    return kind, [int(place) for place in rows[number - 1, : CHANNELS[kind]]]


def _plate(
    reader: Any, path: Path, channels: _Channels, number: int, to_mm: float, said: list[str]
) -> Plate:
    kind, places = _kind_and_places(reader, number)
    if not all(1 <= place <= len(channels.values) for place in places):
        raise SwaytrainerError(
            f"{path}: plate {number} is said to be in channels {places}, of"
            f" {len(channels.values)} there are.",
            "Mend FORCE_PLATFORM:CHANNEL.",
        )
    index = [place - 1 for place in places]
    values = channels.values[index].copy()
    bad = np.flatnonzero(~np.isfinite(values).all(axis=0))
    if bad.size:
        raise SwaytrainerError(
            f"{path}: plate {number} has no number in sample {bad[0] + 1} and {bad.size - 1} more.",
            "Cut the file to where all channels were measured.",
        )
    units = [channels.units[i] if i < len(channels.units) else "" for i in index]
    moment = 1.0
    matrix: Array | None = None
    if kind == 4:
        matrices = _numbers(reader, "FORCE_PLATFORM:CAL_MATRIX")
        if matrices is None or matrices.size < 36 * number:
            raise SwaytrainerError(
                f"{path}: plate {number} of type 4 has no CAL_MATRIX.", "Export the file again."
            )
        # Stored by columns, and so read with rows and columns changed.
        matrix = matrices.reshape(-1, 6, 6)[number - 1].T
        moment = to_mm
    else:
        forces = range(8) if kind == 3 else range(3)
        for i in forces:
            values[i] *= _force_unit(units[i], path, number)
        if kind == 1:
            values[3:5] *= _MM.get(units[3], to_mm)
        elif kind == 2:
            moment = _NMM.get(units[3], to_mm)
            if units[3] not in _NMM:
                said.append(
                    f"Plate {number}: the file gives its moments the unit"
                    f" {units[3] or 'nothing'!r}; they were taken as N times POINT:UNITS."
                )
    origin = _per_plate(reader, path, "ORIGIN", number, 3) * to_mm
    if kind != 1 and origin[2] > 0.0:
        said.append(
            f"Plate {number}: ORIGIN's z is {origin[2]:g} mm, above the surface, where C3D expects"
            " it below (negative); it was taken as it is."
        )
    corners = _per_plate(reader, path, "CORNERS", number, 12).reshape(4, 3) * to_mm
    return Plate(number, kind, corners, wrench_of(kind, values, origin, matrix, moment))


def _force_unit(unit: str, path: Path, number: int) -> float:
    if unit in _OTHER_FORCES:
        raise SwaytrainerError(
            f"{path}: plate {number} gives its force in {unit}.", "Export the force in newtons."
        )
    return _NEWTONS.get(unit, 1.0)


def _per_plate(reader: Any, path: Path, name: str, number: int, size: int) -> Array:
    values = _numbers(reader, f"FORCE_PLATFORM:{name}")
    if values is None or values.size < size * number or not np.isfinite(values).all():
        raise SwaytrainerError(
            f"{path}: plate {number} has no {name}.", f"Mend FORCE_PLATFORM:{name}."
        )
    return values.reshape(-1)[size * (number - 1) : size * number].astype(np.float64)


def _point_unit(reader: Any, path: Path) -> tuple[float, list[str]]:
    """mm in one of the file's units of length, and a note if it had to be supposed."""
    found = _strings(reader, "POINT:UNITS")
    unit = found[0].strip().lower() if found else ""
    if unit in _MM:
        return _MM[unit], []
    if not unit:
        return 1.0, ["POINT:UNITS is missing; lengths were taken as millimetres."]
    raise SwaytrainerError(
        f"{path} gives lengths in {unit!r}.", "Export it in mm, cm or m (POINT:UNITS)."
    )


def _channels(reader: Any, path: Path) -> _Channels:
    """All analog channels, scaled as the file says."""
    used = int(reader.analog_used)
    point_rate_hz, rate_hz = float(reader.point_rate), float(reader.analog_rate)
    frames = int(reader.frame_count)
    if used < 1 or frames < 1:
        raise SwaytrainerError(
            f"{path} holds no analog samples.", "Export it with the plates' channels."
        )
    if not (math.isfinite(rate_hz) and math.isfinite(point_rate_hz) and point_rate_hz > 0.0):
        raise SwaytrainerError(
            f"{path} has a rate of {rate_hz:g} Hz.", "Mend POINT:RATE and ANALOG:RATE."
        )
    a_frame = int(reader.header.analog_per_frame)
    if a_frame < 1 or int(reader.analog_per_frame) != a_frame:
        raise SwaytrainerError(
            f"{path}: its header tells {a_frame} samples a frame, ANALOG:RATE"
            f" {rate_hz / point_rate_hz:g}.",
            "Mend POINT:RATE and ANALOG:RATE.",
        )
    word = 4 if float(reader.point_scale) < 0.0 else 2
    needed = frames * word * (4 * int(reader.point_used) + used * a_frame)
    there = path.stat().st_size - (int(reader.header.data_block) - 1) * _HEADER_BYTES
    if there < needed:
        raise SwaytrainerError(
            f"{path} is cut off: {there / needed:.0%} of its {frames} frames are there.",
            "Copy or export it again.",
        )
    parts = [analog for _, _, analog in reader.read_frames(copy=False, check_nan=False)]
    units = _strings(reader, "ANALOG:UNITS")
    return _Channels(np.concatenate(parts, axis=1), [_plain(unit) for unit in units], rate_hz)


def _plain(unit: str) -> str:
    """A unit's name without the signs that people put between N and mm."""
    return unit.strip().lower().translate(str.maketrans("", "", " .*·-_⋅"))


def _numbers(reader: Any, name: str) -> Array | None:
    """A parameter's numbers, its dimensions the other way round; None if it is not there."""
    found = reader.get(name)
    if found is None:
        return None
    size = int(found.bytes_per_element)
    if size == 4:
        values = found.float_array if found.dimensions else [found.float_value]
    elif size == 2:
        values = found.int16_array if found.dimensions else [found.int16_value]
    elif size == 1:
        values = found.int8_array if found.dimensions else [found.int8_value]
    else:
        return None
    return np.asarray(values, dtype=np.float64)


def _strings(reader: Any, name: str) -> list[str]:
    found = reader.get(name)
    return [] if found is None else [str(text) for text in np.ravel(found.string_array)]


def _check_inside(
    path: Path, plates: list[Plate], force_n: Array, force_x_nmm: Array, force_y_nmm: Array
) -> None:
    """Nobody stands beside the plate: moments in another unit do."""
    loaded = force_n >= 20.0
    if not loaded.any():
        return
    reach_mm = max(
        float(np.linalg.norm(plate.corners_mm - mid, axis=1).max())
        for mid in [np.mean([p.middle_mm for p in plates], axis=0)]
        for plate in plates
    )
    away_mm = math.hypot(
        float(force_x_nmm[loaded].sum() / force_n[loaded].sum()),
        float(force_y_nmm[loaded].sum() / force_n[loaded].sum()),
    )
    if away_mm > reach_mm:
        raise SwaytrainerError(
            f"{path}: the mean COP lies {away_mm:.0f} mm from the middle, beyond the plate's"
            f" corners at {reach_mm:.0f} mm.",
            "Check the units of the moments (ANALOG:UNITS, CAL_MATRIX), CHANNEL and CORNERS.",
        )
