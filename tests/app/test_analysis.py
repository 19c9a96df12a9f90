"""The parts of ``analyse``: the plug for families, the picture, the line of progress, the files."""

import io
import math
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.app.analysis import families
from swaytrainer.app.analysis.families import FAMILIES, Family, Known, measure, measures_of
from swaytrainer.app.analysis.inputs import files_meant
from swaytrainer.app.analysis.plot import Pictures, picture
from swaytrainer.app.analysis.progress import ProgressLine
from swaytrainer.app.analysis.trials import How, Measured, analyse_file
from swaytrainer.cli import main
from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.load_table import LOADS
from swaytrainer.sway.ellipse import CHI2_95_2
from swaytrainer.sway.feet import Feet
from swaytrainer.sway.prepare import Trace, trace_from_cop
from swaytrainer.sway.table import Measure
from tests.app.tables import WHERE, circle, loads_of, write_cop, write_loads

FEET = Feet.from_length(240.0, 200.0, -120.0)


def trace() -> Trace:
    t, x, y = circle()
    return trace_from_cop(t, np.full(t.size, 600.0), x, y)


@dataclass(frozen=True)
class LeanResult:
    values: dict[str, float]
    notes: tuple[str, ...]


LEAN_MEASURES = {"lean_mm": Measure("mm", "mean y", "made up for this test")}


def measure_lean(trace: Trace, feet: Feet, *, band_percent: tuple[float, float]) -> LeanResult:
    """A family as another room would bring it."""
    return LeanResult(
        {"lean_mm": float(np.nanmean(trace.y_mm)) - feet.heel_y_mm},
        (f"From {band_percent[0]} %.",),
    )


LEAN = Family("leaning", __name__, "LEAN_MEASURES", "measure_lean", cutoff_hz=None)


@pytest.mark.parametrize("name", FAMILIES)
def test_every_family_gives_the_keys_that_it_names(name: str) -> None:
    family = FAMILIES[name]
    result = measure(family, trace(), Known(FEET))
    assert tuple(result.values) == tuple(measures_of(family))
    assert all(isinstance(note, str) for note in result.notes)


def test_one_line_adds_a_family(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(families, "FAMILIES", {**FAMILIES, "lean": LEAN})
    monkeypatch.setattr("swaytrainer.app.analyse.FAMILIES", families.FAMILIES)
    t, x, y = circle()
    path = write_loads(tmp_path / "a.csv", t, loads_of(x, y))
    feet = ["--foot-length", "240", "--stance-width", "200", "--heel-line", "-120"]
    out = tmp_path / "rows.csv"
    arguments = ["analyse", str(path), *WHERE, "--as", "lean", "--csv", str(out)]
    assert main([*arguments, *feet, "--band", "30", "40"]) == 0
    told = capsys.readouterr().out
    assert "  lean_mm                           87.6 mm     mean y" in told
    assert "Note: From 30.0 %." in told
    assert "filter: none" in told
    assert "Noise floor" not in told
    assert ",lean_mm,mark,notes" in out.read_text(encoding="utf-8").splitlines()[0]
    assert main(arguments) == 1
    assert "must be known where the feet stood" in capsys.readouterr().err


# --- the picture ------------------------------------------------------------------------------


def measured(path: Path, feet: Feet | None = None) -> Measured:
    how = How(FAMILIES["standing"], half_width_mm=200.0, half_depth_mm=150.0, known=Known(feet))
    [trial] = analyse_file(path, how).trials
    assert isinstance(trial, Measured)
    return trial


def test_the_picture_shows_what_was_measured(tmp_path: Path) -> None:
    rng = np.random.default_rng(2)
    n = 4000
    t = np.arange(n) / 100.0
    x, y = 4.0 * rng.standard_normal(n), 9.0 * rng.standard_normal(n)
    cut = (t < 10.0) | (t > 12.0)
    path = write_loads(tmp_path / "anna.csv", t[cut], loads_of(x[cut], y[cut]))
    trial = measured(path, FEET)
    figure = picture(trial, path)
    assert "anna.csv\n39.99 s at 100 Hz; filter: zero-phase" in figure.get_suptitle()
    assert str(tmp_path) not in figure.get_suptitle()
    stabilogram, spectrum, first, second, third = figure.axes
    labels = [axes.get_ylabel() for axes in figure.axes]
    assert labels == [
        "y, forward + (mm)",
        "power (mm²/Hz)",
        "x, right + (mm)",
        "y, forward + (mm)",
        "force (N)",
    ]
    assert third.get_xlabel() == "time (s)"
    # No line crosses the gap: one NaN more than samples.
    assert np.isnan(first.lines[0].get_ydata()).sum() == 1
    np.testing.assert_array_equal(
        second.lines[0].get_ydata()[~np.isnan(second.lines[0].get_ydata())], trial.trace.y_mm
    )
    # Each point of the ellipse lies at χ² from the mean, by the covariance of what was measured.
    [ellipse] = [line for line in stabilogram.lines if "ellipse" in str(line.get_label())]
    cov = np.cov(trial.trace.x_mm, trial.trace.y_mm)
    away = np.stack(ellipse.get_data()) - np.array(
        [[trial.trace.x_mm.mean()], [trial.trace.y_mm.mean()]]
    )
    np.testing.assert_allclose(
        np.einsum("in,ij,jn->n", away, np.linalg.inv(cov), away), CHI2_95_2, rtol=1e-9
    )
    assert len(stabilogram.patches) == 2  # the soles
    assert "grey: 0.15 to 5 Hz" in spectrum.get_title()
    assert len(picture(measured(path), path).axes[0].patches) == 0


def test_pictures_of_one_and_of_several(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    t, x, y = circle(700)
    one = write_loads(tmp_path / "one.csv", t, loads_of(x, y))
    two = write_cop(tmp_path / "two.csv", t, x, y)  # no force, and too short for a spectrum
    assert main(["analyse", str(one), *WHERE, "--plot", str(tmp_path / "a.png")]) == 0
    assert main(["analyse", str(one), str(two), *WHERE, "--plot", str(tmp_path / "b.png")]) == 0
    names = sorted(path.name for path in tmp_path.glob("*.png"))
    assert names == ["a.png", "b-001-one.png", "b-002-two.png"]
    for name in names:
        assert (tmp_path / name).read_bytes().startswith(b"\x89PNG")
    capsys.readouterr()
    for plot, why in (("a.gif", ".png, .svg, .pdf"), ("no/a.png", "Can't write")):
        assert main(["analyse", str(one), *WHERE, "--plot", str(tmp_path / plot)]) == 1
        assert why in capsys.readouterr().err


def test_without_matplotlib_it_is_told_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "matplotlib", None)
    with pytest.raises(SwaytrainerError, match=r"pip install .swaytrainer\[plot\]"):
        Pictures(tmp_path / "a.png", [])


def test_nothing_heavy_is_loaded_unasked(tmp_path: Path) -> None:
    t, x, y = circle()
    path = write_loads(tmp_path / "a.csv", t, loads_of(x, y))
    code = (
        "import sys; from swaytrainer.cli import main;"
        f" assert main(['analyse', {str(path)!r}, *{WHERE!r}]) == 0;"
        " print(*sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.splitlines()[-1].split())
    assert "swaytrainer.app.analysis.trials" in loaded
    assert not loaded & {"matplotlib", "c3d", "pygame", "serial"}


# --- any table at all -------------------------------------------------------------------------

TAME = st.floats(-50.0, 400.0)
WILD = TAME | st.sampled_from([-1e5, 1e5, 1e-300, 1e300, math.inf])


@given(
    steps=st.lists(st.sampled_from([0.01, 0.01, 0.01, 0.0101, 0.5]), max_size=40),
    data=st.data(),
    filtered=st.booleans(),
    cop=st.booleans(),
)
def test_any_table_is_measured_or_refused_in_words(
    steps: list[float],
    data: st.DataObject,
    filtered: bool,
    cop: bool,
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    """No other exception, no warning, and no infinite value leaves the measuring."""
    path = tmp_path_factory.getbasetemp() / "any.csv"
    width = 2 if cop else 4
    columns = ("cop_x_mm", "cop_y_mm") if cop else LOADS
    if data.draw(st.sampled_from([False, False, True])):
        steps = [*steps, data.draw(st.sampled_from([0.0, -0.01]))]
    number = data.draw(st.sampled_from([st.just(150.0), TAME, TAME, WILD]))
    rows = [",".join(("time_s", *columns))]
    for time_s in np.cumsum(steps):
        numbers = [data.draw(number) for _ in range(width)]
        rows.append(",".join(map(repr, [float(time_s), *numbers])))
    path.write_text("\n".join(rows), encoding="utf-8")
    how = How(
        FAMILIES["standing"],
        filtered,
        half_width_mm=200.0,
        half_depth_mm=150.0,
        known=Known(FEET),
    )
    try:
        [trial] = analyse_file(path, how).trials
    except SwaytrainerError as error:
        in_words(error, path)
    else:
        assert isinstance(trial, Measured)
        assert not any(math.isinf(value) for value in trial.values.values())


def in_words(error: SwaytrainerError, path: Path) -> None:
    assert str(path) in error.what
    assert error.remedy.endswith(".")


# --- progress and files -----------------------------------------------------------------------


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_the_line_of_progress() -> None:
    clock = iter([0.0, 10.0, 600.0])
    out = Terminal()
    line = ProgressLine(8, out, lambda: next(clock))
    line.show(0, "a.csv")
    line.show(2, "b.csv")
    line.show(4, "c" * 99)
    line.clear()
    first, second, third, last = out.getvalue().split("\r\x1b[K")[1:]
    assert first == "[" + "." * 24 + "] 0/8 a.csv"
    assert second == "[" + "#" * 6 + "." * 18 + "] 2/8, 30 s left b.csv"
    assert "4/8, about 10 min left " + "c" * 40 in third
    assert last == ""


@pytest.mark.parametrize(("total", "out"), [(8, io.StringIO()), (1, Terminal())])
def test_no_progress_without_a_terminal_or_with_one_file(total: int, out: io.StringIO) -> None:
    line = ProgressLine(total, out, lambda: 0.0)
    line.show(0, "a.csv")
    line.clear()
    assert out.getvalue() == ""


def test_files_folders_and_patterns(tmp_path: Path) -> None:
    for name in ("b.csv", "a.CSV.gz", "c.c3d", "d.sway", "e.txt", ".hidden.csv", "[1].csv"):
        (tmp_path / name).touch()
    (tmp_path / "folder.csv").mkdir()
    (tmp_path / "folder.csv" / "f.csv").touch()

    def meant(*names: str) -> list[str]:
        return [path.name for path in files_meant([str(tmp_path / name) for name in names])]

    assert meant(".") == ["[1].csv", "a.CSV.gz", "b.csv", "c.c3d", "d.sway", "f.csv"]
    assert meant("[1].csv") == ["[1].csv"]
    assert meant("[bc].*", "b.csv", "e.txt", "gone.csv") == ["b.csv", "c.c3d", "e.txt", "gone.csv"]
    assert meant("**/*.csv") == ["[1].csv", "b.csv", "f.csv"]
