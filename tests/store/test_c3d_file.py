"""Force plates in C3D: written by one library, read by another, held to points that are known."""

from pathlib import Path

import ezc3d
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.c3d_file import read_c3d
from swaytrainer.store.plate_series import PlateSeries
from swaytrainer.sway.cop import Array, cop_arrays
from tests.store.made_c3d import RATE_HZ, MadePlate, standing, write

#: The files hold 32-bit numbers: moments of some 3e4 N·mm to 6e-8 of themselves, over 600 N.
WITHIN_MM = 5e-5

MATRIX = np.eye(6) + 0.03 * np.random.default_rng(4).standard_normal((6, 6))


def cop(series: PlateSeries) -> tuple[Array, Array, Array]:
    force_n, x_mm, y_mm, twist_n = cop_arrays(series.loads_n, series.places, 20.0)
    assert np.abs(twist_n).max() < 1e-9
    return force_n, x_mm, y_mm


def made(kind: int, **where: object) -> MadePlate:
    at, force = standing()
    # Type 3 has sensors about its middle, type 2 and 4 an origin that need not lie below it.
    origin = {3: (250.0, 150.0, -45.0)}.get(kind, (3.0, -2.0, -40.0))
    return MadePlate(kind, at, force, origin_mm=origin, matrix=MATRIX, **where)  # type: ignore[arg-type]


@pytest.mark.parametrize("kind", [1, 2, 3, 4])
def test_a_known_point_comes_back(kind: int, tmp_path: Path) -> None:
    """With z down and y forward, the plate's x points left: seen from above x is mirrored."""
    plate = made(kind, middle_mm=(1200.0, -700.0, 0.0), turned_deg=30.0)
    series = read_c3d(write(tmp_path / "a.c3d", [plate]))
    force_n, x_mm, y_mm = cop(series)
    np.testing.assert_allclose(force_n, plate.force_n[2], rtol=1e-6)
    np.testing.assert_allclose(x_mm, -plate.at_mm[0], atol=WITHIN_MM)
    np.testing.assert_allclose(y_mm, plate.at_mm[1], atol=WITHIN_MM)
    np.testing.assert_allclose(np.diff(series.time_s), 1 / RATE_HZ)
    assert f"plate 1 (type {kind})" in series.notes[0]


@pytest.mark.parametrize("kind", [1, 2, 3, 4])
def test_as_an_independent_library_reckons_it(kind: int, tmp_path: Path) -> None:
    """ezc3d's own COP in the laboratory's frame, seen from the plate's middle along its edges."""
    plate = made(kind, middle_mm=(1200.0, -700.0, 0.0), turned_deg=30.0)
    path = write(tmp_path / "a.c3d", [plate])
    theirs = ezc3d.c3d(str(path), extract_forceplat_data=True)["data"]["platform"][0]
    away = theirs["center_of_pressure"] - np.array(plate.middle_mm)[:, None]
    turn = np.radians(30.0)
    _, x_mm, y_mm = cop(read_c3d(path))
    right, forward = (np.cos(turn), np.sin(turn)), (-np.sin(turn), np.cos(turn))
    np.testing.assert_allclose(x_mm, np.array(right) @ away[:2], atol=1e-3)
    np.testing.assert_allclose(y_mm, np.array(forward) @ away[:2], atol=1e-3)


@pytest.mark.parametrize(
    ("edge", "right", "forward"),
    [
        ("12", (-1, 0), (0, 1)),
        ("23", (0, -1), (-1, 0)),
        ("34", (1, 0), (0, -1)),
        ("41", (0, 1), (1, 0)),
    ],
)
def test_the_toes_may_point_over_any_edge(
    edge: str, right: tuple[int, int], forward: tuple[int, int], tmp_path: Path
) -> None:
    plate = made(2, turned_deg=200.0)
    _, x_mm, y_mm = cop(read_c3d(write(tmp_path / "a.c3d", [plate]), forward_edge=edge))
    np.testing.assert_allclose(x_mm, np.array(right) @ plate.at_mm, atol=WITHIN_MM)
    np.testing.assert_allclose(y_mm, np.array(forward) @ plate.at_mm, atol=WITHIN_MM)


@pytest.mark.parametrize("point", ["mm", "m", "cm"])
@pytest.mark.parametrize("moment", ["Nmm", "N.m", "", "V"])
def test_units_are_the_files_own(point: str, moment: str, tmp_path: Path) -> None:
    plate = made(2)
    series = read_c3d(write(tmp_path / "a.c3d", [plate], point_unit=point, moment_unit=moment))
    _, x_mm, y_mm = cop(series)
    np.testing.assert_allclose(x_mm, -plate.at_mm[0], atol=2 * WITHIN_MM)
    np.testing.assert_allclose(y_mm, plate.at_mm[1], atol=2 * WITHIN_MM)
    assert any("N times POINT:UNITS" in note for note in series.notes) == (moment in ("", "V"))


def test_two_plates_are_one(tmp_path: Path) -> None:
    """The joint COP is the force-weighted mean of the plates' COPs in the laboratory's frame."""
    left = MadePlate(2, *standing(seed=1, force_n=280.0), middle_mm=(-310.0, 5.0, 0.0))
    right = MadePlate(
        3,
        *standing(seed=2, force_n=330.0),
        middle_mm=(310.0, -5.0, 0.0),
        turned_deg=180.0,
        origin_mm=(250.0, 150.0, -45.0),
    )
    path = write(tmp_path / "a.c3d", [left, right])
    series = read_c3d(path, "all")
    force_n, x_mm, y_mm = cop(series)
    forces = [plate.force_n[2] for plate in (left, right)]
    joint = sum(
        f * plate.cop_in_lab_mm() for f, plate in zip(forces, (left, right), strict=True)
    ) / sum(forces)
    np.testing.assert_allclose(force_n, sum(forces), rtol=1e-6)
    np.testing.assert_allclose(x_mm, joint[0], atol=5e-5)
    np.testing.assert_allclose(y_mm, joint[1], atol=5e-5)
    assert any("plate 2 54.1 %" in note for note in series.notes)
    with pytest.raises(SwaytrainerError, match=r"2 force plates.*280 N, 2: 330 N.*--plate 1 to 2"):
        read_c3d(path)
    np.testing.assert_allclose(cop(read_c3d(path, "2"))[1], -right.at_mm[0], atol=WITHIN_MM)
    with pytest.raises(SwaytrainerError, match="no plate 3"):
        read_c3d(path, "3")


def test_plates_on_a_step_have_no_joint_cop(tmp_path: Path) -> None:
    plates = [made(2), made(2, middle_mm=(700.0, 0.0, 150.0))]
    with pytest.raises(SwaytrainerError, match="not at one level"):
        read_c3d(write(tmp_path / "a.c3d", plates), "all")


def test_a_plate_that_pushes_back_is_turned_and_told(tmp_path: Path) -> None:
    at, force = standing()
    plate = MadePlate(2, at, -force)
    series = read_c3d(write(tmp_path / "a.c3d", [plate]))
    force_n, x_mm, _ = cop(series)
    np.testing.assert_allclose(force_n, force[2], rtol=1e-6)
    np.testing.assert_allclose(x_mm, -at[0], atol=WITHIN_MM)
    assert any("sign was turned" in note for note in series.notes)


def test_an_origin_above_the_surface_is_told(tmp_path: Path) -> None:
    at, force = standing()
    plate = MadePlate(2, at, force, origin_mm=(0.0, 0.0, 40.0))
    notes = read_c3d(write(tmp_path / "a.c3d", [plate])).notes
    assert any("above the surface" in note for note in notes)


def remove(c: ezc3d.c3d, name: str) -> None:
    del c["parameters"]["FORCE_PLATFORM"][name]


@pytest.mark.parametrize(
    ("change", "why"),
    [
        (lambda c: c["parameters"].__delitem__("FORCE_PLATFORM"), "holds no force plate"),
        (lambda c: remove(c, "USED"), "holds no force plate"),
        (lambda c: remove(c, "CORNERS"), "no CORNERS"),
        (lambda c: remove(c, "ORIGIN"), "no ORIGIN"),
        (lambda c: remove(c, "CHANNEL"), "needs 6 channels|no CHANNEL"),
        (lambda c: set_to(c, "TYPE", 6), "type 6; types 1 to 4"),
        (lambda c: set_to(c, "TYPE", 4), "no CAL_MATRIX"),
        (lambda c: set_to(c, "TYPE", 3), "needs 8 channels"),
        (lambda c: set_to(c, "CHANNEL", 9), r"channels \[9"),
        (lambda c: set_to(c, "CORNERS", 1.0), "by its corners"),
        (lambda c: unit(c, "ANALOG", 0, "kg"), "force in kg"),
        (lambda c: unit(c, "ANALOG", 3, "N.m"), "beyond the plate"),
        (lambda c: unit(c, "POINT", 0, "inch"), "lengths in 'inch'"),
        (lambda c: unit(c, "POINT", 0, "m"), "by its corners"),
        (lambda c: spoil(c, np.nan), "no number in sample 8"),
        (lambda c: spoil(c, np.inf), "no number in sample 8"),
    ],
)
def test_wrong_files_are_told(change: object, why: str, tmp_path: Path) -> None:
    with pytest.raises(SwaytrainerError, match=why):
        read_c3d(write(tmp_path / "a.c3d", [made(2)], change=change))


def set_to(c: ezc3d.c3d, name: str, value: float) -> None:
    values = c["parameters"]["FORCE_PLATFORM"][name]["value"]
    values[:] = value


def unit(c: ezc3d.c3d, group: str, place: int, value: str) -> None:
    c["parameters"][group]["UNITS"]["value"][place] = value


def spoil(c: ezc3d.c3d, value: float) -> None:
    c["data"]["analogs"][0, 2, 7] = value


def test_what_is_no_c3d_file_is_told(tmp_path: Path) -> None:
    text = tmp_path / "a.c3d"
    for content in (b"", b"time_s,cop_x_mm\n" * 90, b"\x02\x50" + b"\xff" * 700, b"\x02\x50"):
        text.write_bytes(content)
        with pytest.raises(SwaytrainerError, match="C3D file"):
            read_c3d(text)
    with pytest.raises(SwaytrainerError, match="No such file"):
        read_c3d(tmp_path / "none.c3d")
    whole = write(tmp_path / "b.c3d", [made(2)]).read_bytes()
    text.write_bytes(whole[: len(whole) // 2])
    with pytest.raises(SwaytrainerError, match=r"cut off: \d\d%"):
        read_c3d(text)


@settings(max_examples=60)
@given(
    changes=st.lists(st.tuples(st.integers(0, 4095), st.integers(0, 255)), max_size=8),
    kept=st.none() | st.integers(0, 20_000),
)
def test_a_damaged_file_is_read_or_refused_in_words(
    changes: list[tuple[int, int]], kept: int | None, tmp_path_factory: pytest.TempPathFactory
) -> None:
    data = bytearray(SMALL.whole(tmp_path_factory))
    for place, value in changes:
        data[place] = value
    path = SMALL.folder / "spoilt.c3d"
    path.write_bytes(data[:kept])
    try:
        series = read_c3d(path)
    except SwaytrainerError as error:
        in_words(error)
    else:
        assert np.isfinite(series.loads_n).all()


def in_words(error: SwaytrainerError) -> None:
    assert error.what.endswith(".")
    assert error.remedy.endswith(".")


class _Small:
    """One small file for all examples."""

    folder: Path
    data: bytes | None = None

    def whole(self, factory: pytest.TempPathFactory) -> bytes:
        if self.data is None:
            self.folder = factory.mktemp("c3d")
            at, force = standing(200)
            plate = MadePlate(2, at, force)
            self.data = write(self.folder / "small.c3d", [plate]).read_bytes()
        return self.data


SMALL = _Small()
