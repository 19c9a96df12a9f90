"""Started by an icon: what goes wrong is shown, and a mistake's trace is kept."""

from pathlib import Path

import pytest

from swaytrainer import by_icon
from swaytrainer.app import apology
from swaytrainer.errors import SwaytrainerError


@pytest.fixture(autouse=True)
def no_display(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")


@pytest.fixture
def shown(monkeypatch: pytest.MonkeyPatch) -> list[SwaytrainerError]:
    told: list[SwaytrainerError] = []

    class OneKey:
        def __init__(self, window: object) -> None: ...

        def show(self, draw: object, seconds: float) -> None:
            import pygame

            assert callable(draw)
            draw(pygame.Surface((640, 360)))

        def close(self) -> None: ...

    def draw_trouble(surface: object, what: str, remedy: str) -> None:
        told.append(SwaytrainerError(what, remedy))

    monkeypatch.setattr("swaytrainer.app.window.display_missing", lambda: False)
    monkeypatch.setattr("swaytrainer.app.window.Window", lambda **_: None)
    monkeypatch.setattr("swaytrainer.app.screen.Screen", OneKey)
    monkeypatch.setattr("swaytrainer.games.checking.draw_trouble", draw_trouble)
    return told


def test_a_users_error_is_shown(tmp_path: Path, shown: list[SwaytrainerError]) -> None:
    assert by_icon.main(["--home", str(tmp_path), "--vaulter", "Nobody"]) == 1
    assert "Nobody" in shown[0].what
    assert not list(tmp_path.iterdir())


def test_a_mistake_of_ours_is_shown_and_its_trace_kept(
    tmp_path: Path, shown: list[SwaytrainerError], monkeypatch: pytest.MonkeyPatch
) -> None:
    def breaks(_options: object) -> int:
        raise ZeroDivisionError("by nobody")

    monkeypatch.setattr("swaytrainer.cli.run", breaks)
    assert by_icon.main(["--home", str(tmp_path)]) == 1
    assert "by nobody" in shown[0].what
    assert str(tmp_path / "last-error.txt") in shown[0].remedy
    assert "ZeroDivisionError" in (tmp_path / "last-error.txt").read_text()


def test_without_a_display_it_is_printed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    apology.apologize(SwaytrainerError("No board.", "Plug it in."), tmp_path)
    assert "No board. Plug it in." in capsys.readouterr().out
