from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from swaytrainer.sound.tones import MARK_PAUSE_S, RATE_HZ, Cue, Samples, ToeTone, cue, run_length
from tests.games.scenes import OUTCOME
from tests.sound.test_tones import onsets, pitch_by_fft

ROOT = Path(__file__).parents[2]


def python(code: list[str], **environment: str) -> dict[str, Any]:
    done = subprocess.run(
        [sys.executable, *code],
        cwd=ROOT,
        env=os.environ | {"SDL_VIDEODRIVER": "dummy"} | environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    answer: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    return answer


Check = Callable[[Samples, dict[str, float]], None]


def recorded(feedback: str, folder: Path) -> tuple[Samples, dict[str, float]]:
    """What the loudspeaker got, mono and -1 to 1, and when each thing happened (s)."""
    file = folder / "sound.raw"
    answer = python(
        ["-m", "tests.sound.play_a_trial", feedback],
        SDL_AUDIODRIVER="disk",
        SDL_DISKAUDIOFILE=str(file),
    )
    stereo = np.frombuffer(file.read_bytes(), dtype="<i2").reshape(-1, 2)
    np.testing.assert_array_equal(stereo[:, 0], stereo[:, 1])
    return stereo[:, 0] / 32767.0, answer["times"]


def check_recorded(feedback: str, folder: Path, check: Check) -> None:
    """Play until the check holds, five times at most.

    Sound runs in real time: a machine that is busy with other things leaves holes in it that are
    none of the player's. A fault of the player's own is there each time.
    """
    for left in range(4, -1, -1):
        try:
            check(*recorded(feedback, folder))
        except AssertionError:
            if not left:
                raise
        else:
            return


def between(samples: Samples, start_s: float, end_s: float) -> Samples:
    return samples[round(start_s * RATE_HZ) : round(end_s * RATE_HZ)]


def test_a_trial_is_heard_from_the_first_tick_to_the_mark(tmp_path: Path) -> None:
    check_recorded("full", tmp_path, heard_in_full)


def heard_in_full(samples: Samples, times: dict[str, float]) -> None:
    heard = onsets(samples)
    # The file's clock starts with the device: find the tick and reckon from there.
    offset = heard[0] - times["countdown tick"]

    def near(name: str) -> bool:
        return any(abs(onset - offset - times[name]) < 0.25 for onset in heard)

    assert near("trial started")
    assert near("trial ended")
    toes = between(samples, offset + times["toes"] + 0.3, offset + times["inside"] - 0.1)
    level = 65.0 - 50.0
    expected = ToeTone.TOES_HZ * 2 ** (level / ToeTone.OCTAVE_PERCENT)
    assert pitch_by_fft(toes) == pytest.approx(expected, rel=0.01)
    # A steady tone from queued blocks: no gap and no click between them.
    assert np.abs(np.diff(toes)).max() < 0.06
    loudness = np.sqrt((toes[: len(toes) // 441 * 441].reshape(-1, 441) ** 2).mean(axis=1))
    assert loudness.min() > 0.8 * loudness.max()
    inside = between(samples, offset + times["inside"] + 0.35, offset + times["trial ended"] - 0.05)
    assert np.abs(inside).max() == 0.0

    bell_s = len(cue(Cue.END)) / RATE_HZ
    mark_s = offset + times["trial ended"] + bell_s + MARK_PAUSE_S / 2
    assert OUTCOME.mark is not None
    assert sum(onset > mark_s for onset in heard) == run_length(OUTCOME.mark) + 1


def test_without_feedback_the_weight_is_not_heard_but_the_cues_are(tmp_path: Path) -> None:
    check_recorded("none", tmp_path, heard_cues_alone)


def heard_cues_alone(samples: Samples, times: dict[str, float]) -> None:
    heard = onsets(samples)
    offset = heard[0] - times["countdown tick"]
    toes = between(samples, offset + times["toes"], offset + times["inside"])
    assert np.abs(toes).max() == 0.0
    assert any(abs(onset - offset - times["trial ended"]) < 0.25 for onset in heard)


SILENT = """
import json
from swaytrainer.sitting.view import Event, Happening, Phase
from swaytrainer.sound.player import Player
from tests.games.scenes import view
player = Player(1.0)
before = player.silent_reason
player.open()
for happening in Happening:
    player.notice(Event(happening, 0.0))
player.tick(view(Phase.RUNNING, toe_share_percent=80.0))
player.greet()
reason = player.silent_reason
player.close()
print(json.dumps({"before": before, "reason": reason}))
"""


def test_without_a_sound_device_it_is_silent_and_says_why() -> None:
    answer = python(["-c", SILENT], SDL_AUDIODRIVER="no-such-driver")
    assert answer["before"]
    assert "no sound device" in answer["reason"]


def test_with_a_device_there_is_no_reason() -> None:
    assert python(["-c", SILENT], SDL_AUDIODRIVER="dummy")["reason"] is None
