"""``analyse`` as a user types it: any kind of file, many at once, and every way it can fail."""

import csv
import gzip
import json
import math
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from swaytrainer.cli import main
from swaytrainer.sway.ellipse import finite_sample_factor
from swaytrainer.sway.noise import white_path_mm_s
from swaytrainer.sway.table import FOOT_MEASURES, MEASURES
from tests import open_data
from tests.app.tables import (
    RADIUS_MM,
    RATE_HZ,
    TURNS_HZ,
    WHERE,
    circle,
    loads_of,
    write_cop,
    write_loads,
)
from tests.store.made_c3d import MadePlate
from tests.store.made_c3d import write as write_c3d


@pytest.fixture
def loads(tmp_path: Path) -> Path:
    t, x, y = circle()
    return write_loads(tmp_path / "loads.csv", t, loads_of(x, y))


def asked(capsys: pytest.CaptureFixture[str], *arguments: object) -> Any:
    assert main(["analyse", *map(str, arguments), "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def refused(capsys: pytest.CaptureFixture[str], *arguments: object) -> str:
    assert main(["analyse", *map(str, arguments)]) == 1
    told = capsys.readouterr().err
    assert told.startswith("swaytrainer: ")
    assert "Traceback" not in told
    return told


# --- kinds of files ---------------------------------------------------------------------------


@pytest.mark.parametrize("known", [False, True])
def test_a_cop_table_gives_what_its_loads_give(
    known: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    t, x, y = circle()
    x, y = 0.6 * x - 0.3 * y + 31.0, y - 44.0
    loads = write_loads(tmp_path / "loads.csv", t, loads_of(x, y))
    force = np.full(t.size, 600.0) if known else None
    table = write_cop(tmp_path / "cop.csv", t, x, y, force)
    for extra in ([], ["--no-filter"]):
        by_loads = asked(capsys, loads, *WHERE, *extra)
        by_cop = asked(capsys, table, *extra)
        for key in MEASURES:
            assert by_cop[key] == pytest.approx(by_loads[key], rel=1e-9, abs=1e-9), key
        told = " ".join(by_cop["notes"])
        assert ("force is unknown" in told) == (not known)
        assert ("the COP itself was filtered" in told) == (not known and not extra)
        assert by_cop["filter"] == by_loads["filter"]


def test_filtering_the_ratio_is_not_filtering_the_loads(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Why the note is there: where the force bounces, a COP without its force goes another way."""
    t, x, y = circle()
    bouncing = 600.0 + 300.0 * np.sin(2 * math.pi * 7.0 * t)
    x = x + 5.0 * np.sin(2 * math.pi * 7.0 * t)
    with_force = asked(capsys, write_cop(tmp_path / "a.csv", t, x, y, bouncing))
    without = asked(capsys, write_cop(tmp_path / "b.csv", t, x, y))
    by_loads = asked(
        capsys,
        write_loads(tmp_path / "c.csv", t, loads_of(x, y, 1.0) * bouncing[:, None]),
        *WHERE,
    )
    assert with_force["path_length_mm"] == pytest.approx(by_loads["path_length_mm"], rel=1e-9)
    assert abs(without["path_length_mm"] / by_loads["path_length_mm"] - 1) > 0.02


def test_a_c3d_file_gives_the_closed_forms(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    n = 6000
    turn = 2 * math.pi * TURNS_HZ * np.arange(n) / 200.0
    at = RADIUS_MM * np.stack([np.cos(turn), np.sin(turn)])
    force = np.stack([5 * np.sin(turn), 3 * np.cos(turn), np.full(n, 600.0)])
    path = write_c3d(tmp_path / "a.c3d", [MadePlate(2, at, force)])
    told = asked(capsys, path, "--no-filter")
    step = 2 * RADIUS_MM * math.sin(math.pi * TURNS_HZ / 200.0)
    assert told["rate_hz"] == pytest.approx(200.0)
    assert told["path_length_mm"] == pytest.approx(step * (n - 1), rel=1e-6)
    assert told["rms_ml_mm"] == pytest.approx(RADIUS_MM / math.sqrt(2), rel=1e-6)
    assert "plate 1 (type 2)" in told["notes"][0]
    (tmp_path / "renamed").write_bytes(path.read_bytes())
    assert asked(capsys, tmp_path / "renamed", "--no-filter")["path_length_mm"] == pytest.approx(
        told["path_length_mm"]
    )
    assert "no plate 2" in refused(capsys, path, "--plate", "2")
    assert "--plate two is no plate" in refused(capsys, path, "--plate", "two")


@pytest.mark.open_data
@pytest.mark.parametrize("trial", [1, 108])
def test_real_people_as_cop_and_as_c3d(
    trial: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Santos & Duarte 2016, PeerJ 4:e2648: the published speed and area by all three ways."""
    t, four = open_data.standing(trial)
    force = four.sum(axis=1)
    x, y = (four @ np.array(open_data.PLACES)).T / force
    plate = MadePlate(2, np.stack([-x, y]), np.stack([0 * x, 0 * x, force]))
    by_cop = asked(capsys, write_cop(tmp_path / "a.csv", t, x, y, force), "--no-filter")
    by_c3d = asked(capsys, write_c3d(tmp_path / "a.c3d", [plate]), "--no-filter")
    published = open_data.published()[trial]
    for told, within in ((by_cop, 1e-6), (by_c3d, 1e-4)):
        n = told["samples"]
        speed = told["path_length_mm"] / 10 / (n / 100.0)
        assert speed == pytest.approx(float(published["cop_speed_cm_s"]), rel=within)
        area = told["ellipse_area_mm2"] / 100 * finite_sample_factor(n)
        assert area == pytest.approx(float(published["cop_area_cm2"]), rel=within)


def test_semicolons_and_decimal_commas_are_read_and_told(
    loads: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = tmp_path / "other.csv"
    other.write_text(
        loads.read_text().replace(",", ";").replace(".", ","), encoding="utf-8-sig", newline="\r\n"
    )
    first, second = asked(capsys, loads, *WHERE), asked(capsys, other, *WHERE)
    assert [second[key] for key in MEASURES] == [first[key] for key in MEASURES]
    assert "semicolons between the columns and decimal commas" in second["notes"][0]


# --- many files -------------------------------------------------------------------------------


def test_one_bad_file_among_many(
    loads: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "day"
    (folder / "deep").mkdir(parents=True)
    data = loads.read_bytes()
    (folder / "a.csv").write_bytes(data)
    (folder / "b.csv").write_bytes(data[:-40])
    (folder / "deep" / "c.csv.gz").write_bytes(gzip.compress(data))
    (folder / "notes.txt").write_text("not asked for")
    out = tmp_path / "out.csv"
    assert main(["analyse", str(folder), *WHERE, "--json", "--csv", str(out)]) == 1
    said = capsys.readouterr()
    told = json.loads(said.out)
    assert [Path(one["file"]).name for one in told["files"]] == ["a.csv", "c.csv.gz"]
    [failed] = told["failed"]
    assert Path(failed["file"]).name == "b.csv"
    assert "line 3001" in failed["error"]
    assert "b.csv, line 3001" in said.err
    assert "1 of 3 files could not be analysed" in said.err
    assert "\x1b" not in said.err
    with out.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [Path(row["file"]).name for row in rows] == ["a.csv", "c.csv.gz"]
    assert main(["analyse", str(folder / "*.csv"), str(folder / "a.csv"), *WHERE]) == 1
    assert capsys.readouterr().out.count("path_length_mm") == 1


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("none/*.csv", "No file matches"),
        ("none.csv", "No such file"),
        (".", "has no file that ends in .csv"),
    ],
)
def test_no_files(
    name: str,
    why: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    assert why in refused(capsys, name)


# --- bad input --------------------------------------------------------------------------------

HEADER = "time_s,front_left_n,front_right_n,rear_left_n,rear_right_n\n"
STILL = "".join(f"{i / 100},150,150,150,150\n" for i in range(100))


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "is empty"),
        ("a,b\n1,2\n", "neither a column front_left_n nor a column cop_x_mm"),
        (HEADER, "no rows"),
        (HEADER + "0,150,150,150,150\n", "below 2"),
        (HEADER + "0,150,150,150,150\n0.01,150,150,150,150\n", "too few to filter"),
        (HEADER + STILL + "0.5,1,1,1,1\n", "line 102: time_s does not increase"),
        (HEADER + STILL.replace("0.5,", "0.5,nan,"), "line 52: 6 columns"),
        (HEADER + STILL.replace("150\n0.51,", "inf\n0.51,"), "line 52, column rear_right_n"),
        (HEADER + STILL.replace("150", "0.4"), "Nobody is on the board.*newtons"),
        (HEADER + STILL.replace("150", "-150"), "positive downward"),
        (HEADER + STILL.replace("150", "150000"), "beyond 100 kN"),
        (HEADER + "".join(f"{i * 10},150,150,150,150\n" for i in range(99)), "milliseconds"),
    ],
)
def test_bad_tables(
    text: str, why: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bad.csv"
    path.write_text(text, encoding="utf-8")
    told = refused(capsys, path, *WHERE)
    assert "bad.csv" in told
    assert re.search(why, told)


def test_constant_loads_sway_nowhere_and_that_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "still.csv"
    rows = "".join(f"{i / 100},150,150,150,150\n" for i in range(3000))
    path.write_text(HEADER + rows, encoding="utf-8")
    told = asked(capsys, path, *WHERE)
    assert told["path_length_mm"] == pytest.approx(0.0, abs=1e-9)
    assert any("less than anybody's who stands" in note for note in told["notes"])


def test_kilograms_and_metres_are_hinted_at(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    t, x, y = circle()
    kilograms = write_loads(tmp_path / "kg.csv", t, loads_of(x, y, 61.0))
    assert any("kilograms?" in note for note in asked(capsys, kilograms, *WHERE)["notes"])
    metres = write_cop(tmp_path / "m.csv", t, x / 1000, y / 1000)
    assert any("metres?" in note for note in asked(capsys, metres)["notes"])
    for half in ("0.2", "nan", "-200"):
        assert "--half-width" in refused(
            capsys, kilograms, "--half-width", half, "--half-depth", "150"
        )


# --- what is asked for beside -----------------------------------------------------------------


def test_the_table_of_rows_reads_back_exactly(
    loads: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "rows.csv"
    feet = ["--foot-length", "240", "--stance-width", "200", "--heel-line", "-120"]
    told = asked(capsys, loads, *WHERE, *feet, "--csv", out)
    with out.open(encoding="utf-8", newline="") as file:
        [row] = csv.DictReader(file)
    for key in (*MEASURES, *FOOT_MEASURES, "rate_hz", "duration_s"):
        assert float(row[key]) == told[key], key
    assert row["filter"] == told["filter"]
    assert row["family"] == "standing"
    assert row["noise_floor_path_length_mm"] == ""
    assert "Noise floor unknown" in row["notes"]
    # Once more: such a table is written anew; anything else, and what is read, is left alone.
    asked(capsys, loads, *WHERE, "--csv", out)
    with out.open(encoding="utf-8", newline="") as file:
        [row] = csv.DictReader(file)
    assert row["toe_share_percent"] == ""
    other = tmp_path / "mine.csv"
    other.write_text("precious\n")
    assert "no table that analyse wrote" in refused(capsys, loads, *WHERE, "--csv", other)
    assert other.read_text() == "precious\n"
    before = loads.read_bytes()
    assert "would be lost" in refused(capsys, loads, *WHERE, "--csv", loads)
    assert "would be lost" in refused(capsys, loads, *WHERE, "--plot", loads.with_name("loads.csv"))
    assert loads.read_bytes() == before
    assert "Can't write" in refused(capsys, loads, *WHERE, "--csv", tmp_path / "no" / "x.csv")


def test_feet_from_the_command_line(loads: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The circle's middle is at 0: heel line -120, foot 240 mm, so (120 - 32.4)/144 of the way."""
    feet = ["--foot-length", "240", "--stance-width", "200", "--heel-line", "-120"]
    told = asked(capsys, loads, *WHERE, *feet, "--no-filter", "--band", "50", "70")
    assert told["toe_share_percent"] == pytest.approx(100 * (120 - 0.135 * 240) / (0.6 * 240))
    assert told["right_share_percent"] == pytest.approx(50.0)
    # 100·R/144 = 6.9 % to either side of 60.8 %: always within.
    assert told["time_in_band_percent"] == pytest.approx(100.0)
    assert "toe_share_percent" not in asked(capsys, loads, *WHERE)
    assert "--heel-line is missing" in refused(capsys, loads, *WHERE, *feet[:4])
    assert "60 to 500" in refused(
        capsys, loads, *WHERE, "--stance-width", "-1", *feet[:2], *feet[4:]
    )
    assert "A band from" in refused(capsys, loads, *WHERE, "--band", "50", "50")


def test_the_noise_floor_of_an_empty_plate(
    loads: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """White noise of σ a cell: path a second √π·σ_cop·rate, σ_cop = 2aσ/F along each axis."""
    rng = np.random.default_rng(5)
    t = np.arange(12_000) / RATE_HZ
    noise = 0.02 * rng.standard_normal((t.size, 4))
    empty = write_loads(tmp_path / "empty.csv", t, noise)
    told = asked(capsys, loads, *WHERE, "--no-filter", "--empty", empty)
    floor = told["noise_floor"]
    across, along = (2 * half * 0.02 / 600.0 for half in (200.0, 150.0))
    assert floor["cell_noise_n"] == pytest.approx(0.02, rel=0.02)
    # Along one axis the mean step is 2σ/√π.
    assert floor["mean_speed_ml_mm_s"] == pytest.approx(
        2 * across / math.sqrt(math.pi) * RATE_HZ, rel=0.02
    )
    lowest, highest = (white_path_mm_s(mm, RATE_HZ) for mm in (along, across))
    assert lowest < floor["mean_speed_mm_s"] < highest
    assert floor["path_length_mm"] == pytest.approx(floor["mean_speed_mm_s"] * told["duration_s"])
    assert any(f"of {empty}, scaled to the body's 600 N" in note for note in told["notes"])
    assert main(["analyse", str(loads), *WHERE, "--empty", str(empty)]) == 0
    assert "path length over time (noise floor 0." in capsys.readouterr().out
    # The same noise under a dead weight, and as COP and force, is the same floor.
    weight = write_loads(tmp_path / "weight.csv", t, noise + 100.0)
    again = asked(capsys, loads, *WHERE, "--no-filter", "--empty", weight)["noise_floor"]
    assert again["mean_speed_mm_s"] == pytest.approx(floor["mean_speed_mm_s"], rel=1e-9)


def test_the_noise_floor_of_a_force_plate(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Noise σ of the moment My alone makes an x of σ/F, so a mean step of 2σ/(F√π)."""
    n = 8000
    turn = np.arange(n) / 40.0
    at = RADIUS_MM * np.stack([np.cos(turn), np.sin(turn)])
    nothing = np.zeros((2, n))
    body = np.concatenate([nothing, np.full((1, n), 600.0)])
    # An empty plate: a steady stray force at a COP that trembles, which is a moment that does.
    tremble = np.stack([0.5 * np.random.default_rng(3).standard_normal(n), np.zeros(n)])
    stray = np.concatenate([nothing, np.full((1, n), 2.0)])
    path = write_c3d(tmp_path / "a.c3d", [MadePlate(2, at, body)])
    empty = write_c3d(tmp_path / "e.c3d", [MadePlate(2, tremble, stray)])
    floor = asked(capsys, path, "--no-filter", "--empty", empty)["noise_floor"]
    sigma_mm = 2.0 * 0.5 / 600.0
    assert floor["mean_speed_ml_mm_s"] == pytest.approx(
        2 * sigma_mm / math.sqrt(math.pi) * 200.0, rel=0.03
    )
    assert floor["mean_speed_ap_mm_s"] < 0.01 * floor["mean_speed_ml_mm_s"]


def test_what_is_no_plate_at_rest(
    loads: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    t = np.arange(600) / RATE_HZ
    four = 0.02 * np.random.default_rng(5).standard_normal((600, 4))
    touched = four.copy()
    touched[300:310] += 2.0
    for name, time_s, values, why in (
        ("touched", t, touched, "not of a plate at rest"),
        ("short", t[:50], four[:50], "too short"),
        ("slow", t * 2, four, "the path of noise depends on the rate"),
    ):
        path = write_loads(tmp_path / f"{name}.csv", time_s, values)
        told = refused(capsys, loads, *WHERE, "--empty", path)
        assert why in told
        assert str(path) in told
    assert "No such file" in refused(capsys, loads, *WHERE, "--empty", tmp_path / "none.csv")
    t, x, y = circle()
    cop = write_cop(tmp_path / "cop.csv", t, x, y)
    assert "has no force" in refused(capsys, cop, *WHERE, "--empty", loads)


def test_an_unknown_family(loads: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "standing: sway of somebody" in refused(capsys, loads, *WHERE, "--as", "hovering")
