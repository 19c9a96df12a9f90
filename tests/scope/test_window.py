"""The window off screen: it follows, holds still, marks, and changes no recording."""

import math
import os
import shutil
from pathlib import Path

import numpy as np
import pytest

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)
from PySide6 import QtCore, QtGui, QtWidgets
from PySide6.QtTest import QTest

from swaytrainer.scope import colours
from swaytrainer.scope.curves import Drawn
from swaytrainer.scope.lettering import Words
from swaytrainer.scope.pane import clock
from swaytrainer.scope.plots import TimePlot
from swaytrainer.scope.source import Source
from swaytrainer.scope.window import ScopeWindow
from swaytrainer.words import use_language

SESSIONS = Path(__file__).parents[2] / "sessions"
ROMY, TJARK = SESSIONS / "2-romy-calm.sway", SESSIONS / "4-tjark-foam.sway"


@pytest.fixture(scope="module")
def application() -> QtWidgets.QApplication:
    there = QtWidgets.QApplication.instance() or QtWidgets.QApplication([])
    assert isinstance(there, QtWidgets.QApplication)
    return there


def until_read(window: ScopeWindow) -> None:
    window.tick()
    while any(s.catching_up for s in window.sources):
        window.tick()
    window.tick()


def shown(application: QtWidgets.QApplication, *paths: Path, **more: object) -> ScopeWindow:
    window = ScopeWindow(list(paths), Source, **more)  # type: ignore[arg-type]
    window.show()
    until_read(window)
    application.processEvents()
    return window


def count_of(picture: QtGui.QImage, colour: str) -> int:
    wanted = QtGui.QColor(colour).rgb()
    return sum(
        picture.pixel(x, y) == wanted
        for x in range(0, picture.width(), 3)
        for y in range(0, picture.height(), 3)
    )


def test_an_old_recording_is_shown_at_its_last_trial(application: QtWidgets.QApplication) -> None:
    window = shown(application, ROMY)
    pane = window.panes[0]
    assert pane is not None
    assert pane.watched.view.marks == pytest.approx((9.8,), abs=0.05)
    assert window.gaze.end_s == pytest.approx(37.8, abs=0.1)
    picture = window.grab().toImage()
    for colour in (colours.BLUE, colours.ORANGE, colours.BAND):
        assert count_of(picture, colour) > 15, colour
    window.close()


def test_one_that_was_broken_off_is_shown_where_somebody_stood(
    application: QtWidgets.QApplication, tmp_path: Path
) -> None:
    """Cut at 42 s: she has stepped off, and the sitting has not come to its end."""
    path = tmp_path / "it.sway"
    data = ROMY.read_bytes()
    path.write_bytes(data[:-4000])
    window = shown(application, path)
    pane = window.panes[0]
    assert pane is not None
    assert not pane.over
    assert window.gaze.follows  # it may be that it grows: it has just been written
    os.utime(path, (1.0, 1.0))
    window.tick()
    assert window.gaze.end_s == pytest.approx(37.8, abs=0.1)
    assert "–" not in dict(pane._values.values).values()
    assert not pane._cloud.reason if pane._cloud is not None else False
    assert "last trial" in window.status()
    path.write_bytes(data)  # it grows after all
    until_read(window)
    assert window.gaze.follows
    window.close()


def test_two_of_different_length_are_each_shown_at_their_last_trial(
    application: QtWidgets.QApplication,
) -> None:
    window = shown(application, SESSIONS / "1-mika-toes-then-even.sway", TJARK)
    one, two = window.panes
    assert one is not None
    assert two is not None
    assert one.at_s(window.gaze) == pytest.approx(62.8, abs=0.1)
    assert two.at_s(window.gaze) == pytest.approx(32.8, abs=0.1)
    for pane in (one, two):
        assert "–" not in dict(pane._values.values).values()
    window.move_by(-0.1)  # from now on both are of the same time
    assert one.at_s(window.gaze) == pytest.approx(56.8, abs=0.1)
    assert two.at_s(window.gaze) == two.newest_s
    window.close()


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("many", [1, 2])
def test_on_a_small_laptop_nothing_is_cut_but_a_long_name(
    application: QtWidgets.QApplication, language: str, many: int
) -> None:
    use_language(language)
    try:
        window = ScopeWindow([ROMY, TJARK][:many], Source)
        window.resize(1366, 720)
        window.show()
        until_read(window)
        application.processEvents()
        for pane in window.panes:
            assert pane is not None
            assert pane._date.lines() == [pane._date.text]
            for words in (pane._ellipse, pane._spectral, pane._health, pane._state):
                assert " ".join(words.lines()) == words.text
            happened = pane._happened
            assert happened.horizontalScrollBar().maximum() == 0
            assert happened.wordWrap()
    finally:
        use_language("en")
        window.close()


def test_what_is_beyond_its_place_ends_in_dots(application: QtWidgets.QApplication) -> None:
    words = Words(16, lines=2)
    metrics = words.fontMetrics()
    words.resize(metrics.horizontalAdvance("a long name of"), words.height())
    words.say("a long name of an invented vaulter who is called so")
    assert words.lines()[0] == "a long name of"
    assert words.lines()[1].endswith("…")
    assert words.toolTip() == words.text
    words.say("a   name")
    assert words.lines() == ["a   name"]
    assert words.toolTip() == ""


def test_it_follows_a_growing_file_and_holds_still(
    application: QtWidgets.QApplication, tmp_path: Path
) -> None:
    path = tmp_path / "it.sway"
    data = ROMY.read_bytes()
    path.write_bytes(data[:30_000])
    window = shown(application, path)
    pane = window.panes[0]
    assert pane is not None
    before = window.newest_s
    QTest.keyClick(window.page, QtCore.Qt.Key.Key_Space)
    held = window.gaze.end_s
    assert held == before
    path.write_bytes(data)
    until_read(window)
    assert window.newest_s > before + 5.0
    assert window.gaze.end_s == held
    QTest.keyClick(window.page, QtCore.Qt.Key.Key_Left)
    assert window.gaze.end_s == max(0.0, held - 30.0)
    QTest.keyClick(window.page, QtCore.Qt.Key.Key_End)
    assert window.gaze.follows
    QTest.keyClick(window.page, QtCore.Qt.Key.Key_Minus)
    assert window.gaze.width_s == 120.0
    assert path.read_bytes() == data
    window.close()


def test_marks_and_notes(application: QtWidgets.QApplication, tmp_path: Path) -> None:
    path = tmp_path / "it.sway"
    shutil.copy(ROMY, path)
    window = shown(application, path)
    QTest.keyClick(window.page, QtCore.Qt.Key.Key_M)
    QTest.keyClick(window.page, QtCore.Qt.Key.Key_N)
    QTest.keyClicks(window._entry, "knees m stiff")  # no key of the window's meanwhile
    QTest.keyClick(window._entry, QtCore.Qt.Key.Key_Return)
    QTest.keyClick(window.page, QtCore.Qt.Key.Key_N)
    QTest.keyClicks(window._entry, "left again")
    QTest.keyClick(window._entry, QtCore.Qt.Key.Key_Escape)
    kept = window.sources[0].notes.notes()
    assert [n.text for n in kept] == ["", "knees m stiff"]
    assert kept[0].time_s == pytest.approx(37.8, abs=0.2)
    assert path.read_bytes() == ROMY.read_bytes()
    window.close()


def test_two_side_by_side_have_the_same_scales(application: QtWidgets.QApplication) -> None:
    window = shown(application, ROMY, TJARK)
    application.processEvents()  # the titles' heights hang on their widths
    one, two = window.panes
    assert one is not None
    assert two is not None
    for a, b in zip(one.plots, two.plots, strict=True):
        assert a.widget.viewRange()[1] == pytest.approx(b.widget.viewRange()[1])
        assert a.widget.viewRange()[0] == pytest.approx(b.widget.viewRange()[0])
    for axis in (0, 1):
        spans = [pane.soles.widget.viewRange()[axis] for pane in (one, two)]
        assert spans[0][1] - spans[0][0] == pytest.approx(spans[1][1] - spans[1][0], rel=1e-6)
    QTest.keyClick(window.page, QtCore.Qt.Key.Key_2)
    assert "recording 2" in window.status()
    window.close()


def test_a_burst_leaves_the_scale_of_the_rest_alone(application: QtWidgets.QApplication) -> None:
    calm = np.full(1000, 8.0)
    stepping = np.concatenate([np.full(50, 150.0), calm, [math.nan]])
    drawn = {"v": Drawn(np.arange(stepping.size, dtype=float), stepping)}
    held = TimePlot("v", (("v", "", colours.INK),), 20.0, below=0.0)
    bursts = TimePlot("v", (("v", "", colours.INK),), 20.0, below=0.0, bursts=True)
    assert held.reach(drawn) == (8.0, 150.0)
    assert bursts.reach(drawn) == (8.0, 16.0)
    steady = {"v": Drawn(np.arange(1000.0), calm)}
    assert bursts.reach(steady) == held.reach(steady) == (8.0, 8.0)
    nothing = {"v": Drawn(np.arange(2.0), np.full(2, math.nan))}
    assert all(map(math.isnan, bursts.reach(nothing)))


def test_it_goes_on_to_the_next_recording(application: QtWidgets.QApplication) -> None:
    there: list[Path] = []
    window = shown(application, find_next=lambda: there[-1] if there else None)
    assert "No recording yet" in window.status()
    there.append(ROMY)
    window.look_around()
    until_read(window)
    assert window.sources[0].path == ROMY
    window.move_by(-0.1)
    there.append(TJARK)
    window.look_around()
    assert window.sources[0].path == ROMY  # a held picture is not taken away
    assert "End goes to it" in window.status()
    window.follow()
    assert window.sources[0].path == TJARK
    window.close()


def test_what_is_no_recording_is_told(application: QtWidgets.QApplication, tmp_path: Path) -> None:
    path = tmp_path / "it.sway"
    path.write_bytes(b"a letter\n")
    window = shown(application, path)
    assert "is not a swaytrainer recording" in window.status()
    window.close()


def test_help(application: QtWidgets.QApplication) -> None:
    window = shown(application, ROMY)
    QTest.keyClick(window.page, QtCore.Qt.Key.Key_F1)
    assert window._help.isVisible()
    QTest.keyClick(window.page, QtCore.Qt.Key.Key_Escape)
    assert not window._help.isVisible()
    window.close()


def test_looking_back_shows_which_moment_is_shown(application: QtWidgets.QApplication) -> None:
    window = shown(application, SESSIONS / "1-mika-toes-then-even.sway", TJARK)
    window.move_by(-0.5)
    for _ in range(5):
        application.processEvents()
        window.tick()
    at_s = window.showing.at_s()
    pane = window.showing.panes[0]
    assert pane is not None
    lines = pane.plots[0]._marks[colours.PURPLE].getData()[0]
    assert lines is not None
    assert lines[0] == pytest.approx(at_s)
    assert clock(at_s) in window.status()
    window.close()
