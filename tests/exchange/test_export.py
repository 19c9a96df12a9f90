"""A trial out, and opened again by the library of its kind and by our own reader."""

from __future__ import annotations

import csv
import io
import math
from dataclasses import replace
from pathlib import Path

import ezc3d
import numpy as np
import pyarrow.parquet as pq
import pytest

from swaytrainer.app.analysis.families import FAMILIES
from swaytrainer.app.analysis.trials import How, Measured, analyse_file
from swaytrainer.cli import main
from swaytrainer.errors import SwaytrainerError
from swaytrainer.exchange.c3d_out import write_c3d
from swaytrainer.exchange.tables import csv_text
from swaytrainer.exchange.trial_table import UNITS, trial_table
from swaytrainer.store.recording import read_recording
from swaytrainer.training.vaulter import Vaulter
from tests.index.made import KEPT

CALM = KEPT / "2-romy-calm.sway"
OFF = KEPT / "3-jale-steps-off.sway"


def exported(tmp_path: Path, form: str, source: Path = CALM) -> Path:
    path = tmp_path / f"out.{form}"
    assert main(["export", str(source), "--as", form, "-o", str(path)]) == 0
    return path


def measured(path: Path) -> Measured:
    (trial,) = analyse_file(path, How(FAMILIES["standing"])).trials
    assert isinstance(trial, Measured)
    return trial


@pytest.mark.parametrize(("form", "within"), [("csv", 1e-9), ("c3d", 1e-3)])
def test_our_own_analyse_finds_the_same_values(tmp_path: Path, form: str, within: float) -> None:
    there = measured(CALM).values
    back = measured(exported(tmp_path, form)).values
    compared = 0
    for key, value in back.items():
        if not math.isnan(value):
            assert value == pytest.approx(there[key], rel=within, abs=1e-6), key
            compared += 1
    assert compared > 25


def test_csv_to_the_last_bit_by_the_csv_library(tmp_path: Path) -> None:
    table = trial_table(read_recording(CALM))
    text = exported(tmp_path, "csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(io.StringIO(text)))
    for name, values in table.columns.items():
        assert [float(row[name]) for row in rows] == values.tolist()
    assert "x to the right, y forward" in rows[0]["about"]
    assert {row["about"] for row in rows[1:]} == {""}


def test_a_step_off_is_a_missing_cop(tmp_path: Path) -> None:
    rows = list(
        csv.DictReader(io.StringIO(exported(tmp_path, "csv", OFF).read_text(encoding="utf-8")))
    )
    away = [row for row in rows if row["cop_x_mm"] == ""]
    assert 10 < len(away) < len(rows) / 2
    assert all(float(row["force_n"]) < 20.0 and row["cop_y_mm"] == "" for row in away)
    assert analyse_file(tmp_path / "out.csv", How(FAMILIES["standing"])).trials


def test_parquet_by_pyarrow(tmp_path: Path) -> None:
    table = trial_table(read_recording(OFF))
    back = pq.read_table(exported(tmp_path, "parquet", OFF))
    assert back.column_names == list(table.columns)
    for name, values in table.columns.items():
        np.testing.assert_array_equal(back[name].to_numpy(), values)
        unit = back.schema.field(name).metadata[b"unit"].decode()
        assert unit == UNITS.get(name, "N")
    assert back.schema.metadata[b"frame"].decode() == table.about["frame"]
    assert back.schema.metadata[b"vaulter"] == b"Jale"


def test_c3d_by_ezc3d_and_by_c3d(tmp_path: Path) -> None:
    import c3d

    table = trial_table(read_recording(CALM))
    path = exported(tmp_path, "c3d")
    back = ezc3d.c3d(str(path), extract_forceplat_data=True)
    (plate,) = back["data"]["platform"]
    x, y = table.columns["cop_x_mm"], table.columns["cop_y_mm"]
    # The format holds single precision: about 1e-7 of force and moment.
    np.testing.assert_allclose(plate["center_of_pressure"][0], x, atol=1e-3)
    np.testing.assert_allclose(plate["center_of_pressure"][1], y, atol=1e-3)
    np.testing.assert_allclose(back["data"]["points"][0, 0], x, atol=1e-3)
    np.testing.assert_allclose(back["data"]["points"][1, 0], y, atol=1e-3)
    frame = back["parameters"]["SWAYTRAINER"]["FRAME"]["value"][0]
    assert "x to the right, y forward" in frame
    with path.open("rb") as file:
        reader = c3d.Reader(file)
        analog = np.concatenate([values for _, _, values in reader.read_frames()], axis=1)
        assert reader.analog_rate == pytest.approx(80.0, rel=1e-3)
    np.testing.assert_allclose(analog[2], table.columns["force_n"], rtol=1e-6)


def test_c3d_refuses_a_gap(tmp_path: Path) -> None:
    table = trial_table(read_recording(CALM))
    columns = {k: np.delete(v, slice(100, 130)) for k, v in table.columns.items()}
    with pytest.raises(SwaytrainerError, match=r"a gap of 0\.39 s, and a C3D file knows no times"):
        write_c3d(replace(table, columns=columns), tmp_path / "x.c3d")
    assert not (tmp_path / "x.c3d").exists()


def test_c3d_with_a_step_off_keeps_what_is_missing_missing(tmp_path: Path) -> None:
    table = trial_table(read_recording(OFF))
    back = ezc3d.c3d(str(exported(tmp_path, "c3d", OFF)))
    away = np.isnan(table.columns["cop_x_mm"])
    assert away.any()
    np.testing.assert_array_equal(np.isnan(back["data"]["points"][0, 0]), away)


@pytest.mark.parametrize("name", ["=cmd|x", "Ädla 🐎", "a/b\nc", "x" * 300, '",;"'])
@pytest.mark.parametrize("form", ["csv", "c3d"])
def test_any_name(tmp_path: Path, name: str, form: str) -> None:
    recording = read_recording(CALM)
    setup = replace(recording.setup, vaulter=Vaulter(name))
    table = trial_table(replace(recording, setup=setup))
    path = tmp_path / f"x.{form}"
    if form == "csv":
        path.write_text(csv_text(table), encoding="utf-8", newline="")
        first = next(csv.DictReader(io.StringIO(csv_text(table))))
        assert first["about"].startswith("frame: Seen from above")
        assert " ".join(name.split()) in first["about"]
    else:
        write_c3d(table, path)
    there = measured(CALM).values["mean_speed_mm_s"]
    assert measured(path).values["mean_speed_mm_s"] == pytest.approx(there, rel=1e-3)


def test_which_trial_and_what_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    two = str(KEPT / "1-mika-toes-then-even.sway")
    out = str(tmp_path / "x.csv")
    words = ["export", two, "--as", "csv", "-o", out]
    for more, told in (
        ([], "holds trials 1, 2. Choose one with --trial"),
        (["--trial", "3"], "holds no trial 3"),
        (["--trial", "-1"], "holds no trial -1"),
    ):
        assert main([*words, *more]) == 1
        assert told in capsys.readouterr().err
        assert not list(tmp_path.iterdir())
    assert main([*words, "--trial", "2"]) == 0
    before = Path(out).read_bytes()
    assert main([*words, "--trial", "1"]) == 1
    assert "already there" in capsys.readouterr().err
    assert Path(out).read_bytes() == before
