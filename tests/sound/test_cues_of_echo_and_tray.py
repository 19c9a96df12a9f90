"""The calls of echo and tray: every word has one, none clicks, none is taken for another."""

from __future__ import annotations

import ast
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest

from swaytrainer.sound import cues_echo, cues_tray
from swaytrainer.sound.tones import CUE_PEAK, RATE_HZ, Samples
from swaytrainer.training.tasks import echo
from swaytrainer.training.tasks.tray import Order, Turn

ALL = {**cues_echo.CUES, **cues_tray.CUES}


@pytest.mark.parametrize("word", ALL)
def test_a_call_is_short_and_has_no_click(word: str) -> None:
    samples = ALL[word]()
    assert 0.03 * RATE_HZ < len(samples) < 1.2 * RATE_HZ
    assert np.abs(samples).max() <= CUE_PEAK + 1e-9
    assert np.abs(samples).max() > 0.19
    assert abs(samples[0]) < 1e-3 > abs(samples[-1])
    assert np.abs(np.diff(samples)).max() < 0.35


def words_in(module: object, prefix: str) -> set[str]:
    """The words that a module's rules call, read from its text."""
    tree = ast.parse(Path(str(getattr(module, "__file__", ""))).read_text(encoding="utf-8"))
    texts = {n.value for n in ast.walk(tree) if isinstance(n, ast.Constant)}
    return {t for t in texts if isinstance(t, str) and t.startswith(prefix) and " " not in t}


def test_every_word_that_is_called_has_a_sound() -> None:
    assert words_in(echo, "echo_") - set(echo.MEASURES) - {
        "echo_beyond_percent", "echo_missed_rounds"
    } == set(cues_echo.CUES)  # fmt: skip
    turns = {f"tray_{turn}" for turn in Turn if turn is not Turn.OVER}
    called = {f"tray_{order}" for order in (Order.CAKE, Order.CUP)} | {
        "tray_throw",
        "tray_right",
        "tray_wrong",
    }
    assert turns | called == set(cues_tray.CUES)


def spectrum(samples: Samples) -> Samples:
    """Loudness over time and pitch, in a few coarse boxes."""
    padded = np.zeros(round(1.2 * RATE_HZ))
    padded[: len(samples)] = samples
    frames = padded.reshape(24, -1)
    power = np.abs(np.fft.rfft(frames, axis=1))[:, 1:120]
    shape: Samples = (power / np.linalg.norm(power)).ravel()
    return shape


@pytest.mark.parametrize("cues", [cues_echo.CUES, cues_tray.CUES], ids=["echo", "tray"])
def test_no_call_is_taken_for_another(cues: dict[str, object]) -> None:
    shapes = {word: spectrum(ALL[word]()) for word in cues}
    for one, other in combinations(shapes, 2):
        assert float(shapes[one] @ shapes[other]) < 0.8, (one, other)
