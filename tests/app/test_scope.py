"""The command that opens the coach's window, as far as no window is needed."""

from pathlib import Path

import pytest

from swaytrainer.app.scope import _require_x11, missing_library, newest, require_qt
from swaytrainer.cli import main
from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.home import Home


@pytest.mark.parametrize(
    ("library", "package"),
    [
        ("libEGL.so.1", "libegl1"),
        ("libGL.so.1", "libgl1"),
        ("libxkbcommon.so.0", "libxkbcommon0"),
        ("libdbus-1.so.3", "libdbus-1-3"),
        ("libfontconfig.so.1", "libfontconfig1"),
    ],
)
def test_a_missing_library_names_its_package(library: str, package: str) -> None:
    told = str(missing_library(f"{library}: cannot open shared object file"))
    assert told.endswith(f"apt install {package}")


def test_another_missing_library_is_told_as_it_is() -> None:
    assert "libodd.so.7" in str(missing_library("libodd.so.7: cannot open shared object file"))


def test_all_that_a_window_lacks_is_told_at_once() -> None:
    lacking = {"libodd.so.7": "libodd7", "libc.so.6": "libc6", "libeven.so.8": "libeven8"}
    with pytest.raises(SwaytrainerError, match=r"apt install libodd7 libeven8$"):
        _require_x11(lacking)


def test_without_a_display(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.platform", "linux")
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"):
        monkeypatch.delenv(name, raising=False)
    with pytest.raises(Exception, match="no display"):
        require_qt()


def test_wrong_files_are_refused(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert main(["scope", str(tmp_path / "none.sway")]) == 1
    assert "There is no recording" in capsys.readouterr().err
    assert main(["scope", "a", "b", "c"]) == 1
    assert "Give one or two" in capsys.readouterr().err


def test_the_newest_of_a_home(tmp_path: Path) -> None:
    assert newest(Home(tmp_path)) is None
    path = tmp_path / "recordings" / "2026-09-12" / "173000-it-romy.sway"
    path.parent.mkdir(parents=True)
    path.write_bytes(b"")
    assert newest(Home(tmp_path)) == path
