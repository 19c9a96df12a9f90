"""The window off screen: it follows, holds still, marks, and changes no recording."""

import os
import shutil
from pathlib import Path

import pytest

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)
from PySide6 import QtCore, QtGui, QtWidgets
from PySide6.QtTest import QTest

from swaytrainer.scope import colours
from swaytrainer.scope.source import Source
from swaytrainer.scope.window import ScopeWindow

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


def test_it_goes_on_to_the_next_recording(application: QtWidgets.QApplication) -> None:
    there: list[Path] = []
    window = shown(application, find_next=lambda: there[-1] if there else None)
    assert "No recording yet" in window.status()
    there.append(ROMY)
    window.look_around()
    until_read(window)
    assert window.sources[0].path == ROMY
    window.hold_or_follow()
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
