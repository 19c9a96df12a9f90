"""What the window shows against the sitting itself, and its words."""

import math
import re
from pathlib import Path

import numpy as np
import pytest
from scipy import signal

from swaytrainer.scope import colours, readout
from swaytrainer.scope.gaze import Gaze, scale
from swaytrainer.scope.readout import told
from swaytrainer.scope.watched import CORNERS, Watched
from swaytrainer.sitting.sitting import Sitting
from swaytrainer.store.recording import read_recording
from swaytrainer.sway.cop import CopSample
from swaytrainer.words import use_language

SESSIONS = Path(__file__).parents[2] / "sessions"
RECORDING = read_recording(SESSIONS / "2-romy-calm.sway")


@pytest.fixture(scope="module")
def romy() -> Watched:
    watched = Watched(RECORDING.setup)
    for at in range(0, len(RECORDING.inputs), 7):
        watched.feed(RECORDING.inputs[at : at + 7])
    return watched


def test_the_values_are_the_sittings_own(romy: Watched) -> None:
    sitting = Sitting(RECORDING.setup)
    cops: list[CopSample] = []
    sitting.on_cop = cops.append
    events, speeds = [], []
    for item in RECORDING.inputs:
        events += sitting.feed(item)
        view = sitting.view()
        speeds.append(view.speed_mm_s if not math.isnan(view.x_mm) else math.nan)
    begin, end = romy.curves.span_s
    for name, wanted in (
        ("force_n", [c.force_n for c in cops]),
        ("x_mm", [c.x_mm for c in cops]),
        ("toe_share_percent", [sitting.feet.toe_share_percent(c.y_mm) for c in cops]),
        ("speed_mm_s", speeds),
    ):
        got = romy.curves.stretch(name, begin, end).values
        np.testing.assert_array_equal(got, np.array(wanted, dtype=np.float32))
    assert romy.events == events
    assert repr(romy.view) == repr(sitting.view())  # NaN is not equal to itself
    corners = sum(romy.curves.value(name, 20.0) for name in CORNERS)
    assert corners == pytest.approx(romy.curves.value("force_n", 20.0), rel=0.01)


def test_the_ellipse_is_that_of_the_last_ten_seconds(romy: Watched) -> None:
    cloud = romy.cloud(30.0)
    var = np.cov(cloud.x_mm, cloud.y_mm)
    assert cloud.ellipse.ellipse_area_mm2 == pytest.approx(
        math.pi * -2.0 * math.log(0.05) * math.sqrt(np.linalg.det(var))
    )
    assert cloud.x_mm.size == pytest.approx(800, abs=2)
    assert "Ellipse" in readout.ellipse_line(cloud)


def test_the_spectrum_is_scipys(romy: Watched) -> None:
    spectra = romy.spectra(36.0, 30.0)
    x = romy.curves.stretch("x_mm", 6.0, 36.0).values.astype(float)
    f, p = signal.welch(
        x, 80.0, nperseg=x.size // 2, noverlap=x.size // 2 - (x.size // 2 - x.size // 4)
    )
    assert spectra.seconds == pytest.approx(30.0, abs=0.1)
    shown = (spectra.frequency_hz > 0.2) & (spectra.frequency_hz < 5.0)
    near = np.interp(spectra.frequency_hz[shown], f, p)
    assert spectra.x_mm2_hz[shown].sum() == pytest.approx(near.sum(), rel=0.02)


def test_neither_ellipse_nor_spectrum_is_of_stepping_on_or_off(romy: Watched) -> None:
    """She shifts her weight at 40.7 s and is off at 41.4 s; she is on at 3.3 s."""
    still = romy.cloud(39.0).ellipse.ellipse_area_mm2
    for at_s in (8.0, 41.4, 42.4):
        cloud = romy.cloud(at_s)
        assert cloud.ellipse.ellipse_area_mm2 < 2.0 * still, at_s
        assert np.nanmax(np.abs(cloud.x_mm)) < 10.0
    raw = romy.curves.stretch("x_mm", 32.4, 42.4).values
    assert np.nanmax(np.abs(raw)) > 80.0  # which the cloud had to leave out
    assert math.isnan(romy.cloud(42.4).x_mm[-1])  # nobody is there now
    whole, after = romy.spectra(38.0), romy.spectra(42.4)
    assert whole.seconds == pytest.approx(38.0 - 3.25 - 1.0, abs=0.15)
    assert after.seconds == pytest.approx(whole.seconds, abs=3.0)
    assert after.x_mm2_hz.max() < 2.0 * whole.x_mm2_hz.max()


def test_a_lost_sample_ends_no_standing(romy: Watched) -> None:
    watched = Watched(RECORDING.setup)
    time, x = romy.curves.stretch("x_mm", 0.0, 30.0)
    rows = np.array([romy.curves.stretch(n, 0.0, 30.0).values for n in romy.curves.names]).T.copy()
    rows[2000] = np.nan  # at 25 s
    watched.curves.extend(time, rows)
    assert watched.cloud(30.0).x_mm.size == romy.cloud(30.0).x_mm.size
    assert watched.spectra(30.0).reason
    assert not romy.spectra(30.0).reason
    assert np.isfinite(x).sum() > 2000


def test_where_a_recording_is_worth_looking_at() -> None:
    found: dict[str, float] = {}
    for name in ("1-mika-toes-then-even", "3-jale-steps-off"):
        recording = read_recording(SESSIONS / f"{name}.sway")
        watched = Watched(recording.setup)
        assert math.isnan(watched.stood_until_s())
        for n, item in enumerate(recording.inputs):
            watched.feed([item])
            if watched.newest_s > 16.0 and name not in found:
                assert watched.stood_until_s() == watched.newest_s  # she stands still
                found[name] = n
        found[name + " at the end"] = watched.stood_until_s()
        watched.events.clear()
        found[name + " without a trial"] = watched.stood_until_s()
    assert found["1-mika-toes-then-even at the end"] == pytest.approx(62.8, abs=0.1)
    assert found["3-jale-steps-off at the end"] == pytest.approx(27.9, abs=0.1)
    # As if she had left before a trial: before she shifted her weight.
    assert found["3-jale-steps-off without a trial"] == pytest.approx(39.5, abs=0.2)


def test_what_cannot_be_measured_says_why(romy: Watched) -> None:
    assert romy.cloud(1.0).reason
    assert "20 s" in romy.spectra(10.0).reason
    empty = Watched(RECORDING.setup)
    assert empty.cloud(math.nan).reason
    assert empty.spectra(math.nan).reason
    assert {value for _, value in readout.values(empty, math.nan)} == {"–"}
    assert readout.health(empty) == (False, "No signal from the board.")


def test_the_lines(romy: Watched) -> None:
    assert readout.title(romy) == "Romy · Millpond: open water · firm, two feet, eyes open"
    assert readout.date(RECORDING.made) == "2026-09-12 17:30"
    assert readout.date("long ago") == "long ago"
    assert "marks so far: 9.8" in readout.state(romy)
    assert readout.health(romy)[0]
    assert "trial 1 ended: mark 9.8" in [told(e) for e in romy.events]
    assert readout.strides_line(romy) == ""


def test_the_gaze_holds_still_while_time_goes_on() -> None:
    gaze = Gaze().frozen(100.0)
    assert gaze.stretch(100.0) == gaze.stretch(500.0) == (40.0, 100.0)
    assert gaze.moved(-10.0, 500.0).at_s(500.0) == 0.0
    assert gaze.moved(10.0, 500.0).at_s(500.0) == 500.0
    assert gaze.following().follows
    assert Gaze().zoomed(-99).width_s == 10.0
    assert Gaze().zoomed(99).width_s == 14400.0
    assert Gaze().stretch(math.nan) == (0.0, 60.0)


@pytest.mark.parametrize("newest_s", [0.0, 59.9, 60.1, 1234.5, 3600.0])
def test_what_is_newest_is_always_in_sight(newest_s: float) -> None:
    begin, end = Gaze().stretch(newest_s)
    assert begin <= newest_s <= end
    assert end - begin == pytest.approx(60.0)


@pytest.mark.parametrize(
    ("low", "high"), [(0.0, 1.0), (-3.0, 461.0), (5.0, 5.0), (math.nan, math.nan), (1e-9, 9e5)]
)
def test_a_scale_holds_what_is_shown(low: float, high: float) -> None:
    begin, end = scale(low, high, 10.0)
    assert end - begin >= 10.0
    if math.isfinite(low):
        assert begin <= low <= high <= end


def test_texts_can_be_read_on_paper() -> None:
    assert min(colours.ratio(text, colours.PAPER) for text in colours.TEXTS) >= 4.5
    assert colours.ratio(colours.INK, colours.BAND) >= 4.5


def test_numbers_have_the_languages_decimal_sign(romy: Watched) -> None:
    use_language("de")
    try:
        values = dict(readout.values(romy, 30.0))
        assert re.fullmatch(r"\d+,\d mm/s", values["Tempo"])
        assert "Noten bisher: 9,8" in readout.state(romy)
        assert re.search(r"unter \d,\d\d Hz quer", readout.spectrum_line(romy.spectra(36.0)))
        assert readout.date(RECORDING.made) == "12.09.2026 17:30"
    finally:
        use_language("en")
