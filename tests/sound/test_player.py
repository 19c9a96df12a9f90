from __future__ import annotations

import json
import math
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pygame
import pytest

from swaytrainer.app.play import _sound_device, open_player
from swaytrainer.errors import SwaytrainerError
from swaytrainer.sitting.view import Event, Happening, Phase
from swaytrainer.sound.device import the_one
from swaytrainer.sound.loudspeaker import BUFFER_SAMPLES, Stereo
from swaytrainer.sound.player import Player
from swaytrainer.sound.prompts.phrases import spoken_mark
from swaytrainer.sound.tones import RATE_HZ, Cue, Samples, cue, end_with_mark, note
from swaytrainer.sound.voice import Speaker
from swaytrainer.sound.weight_tone import MIDDLE_HZ, OCTAVE_PERCENT, SIDE_PERCENT
from tests.games.scenes import LEVEL, OUTCOME, view
from tests.sound.listening import between, found_at, pitch_by_fft
from tests.sound.tape import Tape
from tests.sound.test_weight_tone import NO_CLICK

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


# On pygame's own mixer, in real time ------------------------------------------------------------

Check = Callable[[Samples, dict[str, float]], None]


def recorded(feedback: str, folder: Path) -> tuple[Samples, dict[str, float]]:
    """What the loudspeaker got, shape (N, 2), -1 to 1, and when each thing happened (s)."""
    file = folder / "sound.raw"
    answer = python(
        ["-m", "tests.sound.play_a_trial", feedback],
        SDL_AUDIODRIVER="disk",
        SDL_DISKAUDIOFILE=str(file),
    )
    return np.frombuffer(file.read_bytes(), dtype="<i2").reshape(-1, 2) / 32767.0, answer["times"]


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


def ticked_at(mono: Samples) -> float:
    heard_s, fit = found_at(mono, cue(Cue.TICK)[: round(0.09 * RATE_HZ)], 0.0, 3.0)
    assert fit > 0.9
    return heard_s


def test_a_trial_is_heard_from_the_countdown_to_the_mark(tmp_path: Path) -> None:
    check_recorded("full", tmp_path, heard_in_full)


def heard_in_full(samples: Samples, times: dict[str, float]) -> None:
    mono = samples.mean(axis=1)
    # The file's clock starts with the device: find the tick and reckon from there.
    offset = ticked_at(mono) - times["countdown tick"]
    for name, which in (("trial started", Cue.START), ("trial ended", Cue.END)):
        beginning = cue(which)[: round(0.09 * RATE_HZ)]
        heard_s, fit = found_at(mono, beginning, offset + times[name] - 0.4, 0.8)
        assert fit > 0.9, name
        assert abs(heard_s - offset - times[name]) < 0.25, name
    toes = between(samples, offset + times["toes"] + 0.3, offset + times["inside"] - 0.1)
    expected = MIDDLE_HZ * 2 ** ((65.0 - 42.5) / OCTAVE_PERCENT)
    assert pitch_by_fft(toes[:, 0]) == pytest.approx(expected, rel=0.01)
    left, right = np.sqrt((toes**2).mean(axis=0))
    place = math.atan2(right, left) / (0.5 * math.pi)
    assert place == pytest.approx(0.5 + 10.0 / (2 * SIDE_PERCENT), abs=0.01)
    # A steady tone from queued blocks: no gap and no click between them.
    assert np.abs(np.diff(toes, axis=0)).max() < NO_CLICK
    right_only = toes[: len(toes) // 441 * 441, 1].reshape(-1, 441)
    loudness = np.sqrt((right_only**2).mean(axis=1))
    assert loudness.min() > 0.8 * loudness.max()
    inside = between(mono, offset + times["inside"] + 0.35, offset + times["trial ended"] - 0.05)
    assert np.abs(inside).max() == 0.0
    mark = Speaker(Tape(), "en").line((*spoken_mark(OUTCOME.mark), "well done"))
    assert mark is not None
    heard_s, fit = found_at(mono, mark, offset + times["trial ended"], 2.5)
    assert fit > 0.95


def test_without_feedback_the_weight_is_not_heard_but_the_cues_are(tmp_path: Path) -> None:
    check_recorded("none", tmp_path, heard_cues_alone)


def heard_cues_alone(samples: Samples, times: dict[str, float]) -> None:
    mono = samples.mean(axis=1)
    offset = ticked_at(mono) - times["countdown tick"]
    toes = between(mono, offset + times["toes"] + 0.1, offset + times["inside"])
    assert np.abs(toes).max() == 0.0
    beginning = cue(Cue.END)[: round(0.09 * RATE_HZ)]
    assert found_at(mono, beginning, offset + times["trial ended"] - 0.4, 0.8)[1] > 0.9


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
player.tick(view(Phase.RUNNING, toe_share_percent=80.0), 0.0)
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


# Choosing --------------------------------------------------------------------------------------


def test_a_device_is_chosen_by_a_part_of_its_name() -> None:
    names = ["Built-in Audio", "USB Speaker", "USB Headset"]
    assert the_one("HEADSET", names) == "USB Headset"
    assert the_one("USB Speaker", names) == "USB Speaker"
    with pytest.raises(SwaytrainerError, match="Several sound devices have “usb”") as several:
        the_one("usb", names)
    assert "USB Headset" in str(several.value)
    with pytest.raises(SwaytrainerError, match="No sound device has “radio”"):
        the_one("radio", [])
    with pytest.raises(SwaytrainerError):
        the_one("", ["Built-in Audio", "USB Speaker"])


CHOSEN = """
import json
from swaytrainer.errors import SwaytrainerError
from swaytrainer.app.play import open_player
from swaytrainer.sound.device import device_names
names = device_names()
player = open_player(False, 0.5, names[0])
reason = player.silent_reason
player.close()
try:
    open_player(False, 0.5, "no such loudspeaker")
except SwaytrainerError as error:
    print(json.dumps({"reason": reason, "error": str(error), "names": names}))
"""


def test_an_unknown_device_names_those_there_are() -> None:
    answer = python(["-c", CHOSEN], SDL_AUDIODRIVER="dummy")
    assert answer["reason"] is None
    assert "no such loudspeaker" in answer["error"]
    assert answer["names"]


@pytest.mark.parametrize("volume", [-0.1, 1.1, math.nan, math.inf])
def test_a_volume_that_is_none_is_refused(volume: float) -> None:
    with pytest.raises(SwaytrainerError, match="volume"):
        open_player(True, volume)


# On a tape ---------------------------------------------------------------------------------------


def on_tape(tape: Tape, volume: float = 1.0) -> Player:
    player = Player(volume, tape, "en", threaded=False)
    player.open()
    return player


def run(player: Player, tape: Tape, seconds: float, phase: Phase = Phase.SETTLING) -> None:
    begin_s = len(tape.buffers) * BUFFER_SAMPLES / RATE_HZ
    for k in range(round(seconds * 100)):
        player.tick(view(phase, toe_share_percent=70.0), begin_s + k / 100)
        tape.run_to(begin_s + (k + 1) / 100)


def test_half_the_volume_is_half_of_everything() -> None:
    heard = []
    for volume in (1.0, 0.5, 0.0):
        tape = Tape()
        player = on_tape(tape, volume)
        player.notice(Event(Happening.TRIAL_STARTED, 0.0))
        run(player, tape, 1.0, Phase.RUNNING)
        heard.append(tape.heard)
    np.testing.assert_allclose(heard[1], 0.5 * heard[0], atol=4 / 32767)
    assert not heard[2].any()


@pytest.mark.parametrize("happening", list(Happening))
def test_every_event_can_be_heard_but_for_three(happening: Happening) -> None:
    tape = Tape()
    player = on_tape(tape)
    run(player, tape, 0.05)
    player.notice(Event(happening, 0.0, 1, OUTCOME, "gust"))
    run(player, tape, 1.5)
    silent = {Happening.TARED, Happening.LEFT_EARLY, Happening.LESSON_ENDED}
    assert (np.abs(tape.heard).max() > 0.1) == (happening not in silent)


def test_a_game_s_own_sound_is_heard_at_once() -> None:
    tape = Tape()
    gust = 0.3 * note(700.0, 0.2)
    player = Player(1.0, tape, "en", threaded=False, games={"gust": lambda: gust})
    player.open()
    run(player, tape, 0.5)
    player.notice(Event(Happening.CUE, 0.0, word="gust"))
    run(player, tape, 0.5)
    heard_s, fit = found_at(tape.heard.mean(axis=1), gust, 0.3, 0.4)
    assert fit > 0.99
    assert heard_s == pytest.approx(0.5, abs=0.02)


class Wordless(Tape):
    def decoded(self, path: Path) -> Stereo | None:
        return None


def test_where_the_voice_is_missing_the_mark_is_told_in_notes() -> None:
    tape = Wordless()
    player = on_tape(tape)
    player.notice(Event(Happening.TRIAL_ENDED, 0.0, outcome=OUTCOME))
    run(player, tape, 5.0)
    assert found_at(tape.heard.mean(axis=1), end_with_mark(OUTCOME.mark), 0.0, 0.1)[1] > 0.99


def test_between_two_sittings_it_is_said_what_to_do() -> None:
    tape = Tape()
    player = on_tape(tape)
    player.ask("stand still", 0.0)
    for k in range(200):
        player.speak(k / 100)
        tape.run_to((k + 1) / 100)
    said = Speaker(Tape(), "en").line(("stand still",))
    assert said is not None
    heard = tape.heard.mean(axis=1)
    assert found_at(heard, said, 0.0, 1.0)[1] > 0.99
    silent = Player(1.0, Tape(), "en", threaded=False)
    silent.ask("stand still", 0.0)  # not open: nothing happens
    silent.speak(0.1)


def test_a_device_that_goes_in_a_trial_is_said_and_comes_back() -> None:
    tape = Tape()
    player = on_tape(tape)
    running = view(Phase.RUNNING, toe_share_percent=70.0)
    run(player, tape, 0.2, Phase.RUNNING)
    assert player.trouble(running) is None
    player.device_gone()
    assert player.silent_reason
    assert "gone" in str(player.trouble(running))
    # The training goes on.
    for happening in Happening:
        player.notice(Event(happening, 0.0, 1, OUTCOME, "gust"))
    player.tick(running, 1.0)
    player.greet()
    player.top_up()
    player.device_came()
    assert player.trouble(running) is None
    before = len(tape.buffers)
    run(player, tape, 0.3, Phase.RUNNING)
    assert np.abs(np.concatenate(tape.buffers[before:])).max() > 0.1


class Choosy(Tape):
    """Opens once; after that there is only another device."""

    def open(self) -> str | None:
        if self.opened:
            raise SwaytrainerError("No sound device has “usb” in the name.", "Give another.")
        return super().open()


def test_another_device_than_the_chosen_one_is_no_reason_to_break_off() -> None:
    player = on_tape(Choosy())
    player.device_gone()
    player.device_came()
    assert "gone" in str(player.silent_reason)
    player.tick(view(Phase.RUNNING, toe_share_percent=70.0), 1.0)


def test_the_system_s_own_news_of_devices_reach_the_player(
    capsys: pytest.CaptureFixture[str],
) -> None:
    tape = Tape()
    player = on_tape(tape)

    def news(kind: int, which: int, iscapture: int = 0) -> None:
        _sound_device(player, pygame.event.Event(kind, which=which, iscapture=iscapture))

    news(pygame.AUDIODEVICEREMOVED, 2, iscapture=1)  # a microphone
    news(pygame.AUDIODEVICEREMOVED, 0)  # one that we don't use
    news(pygame.AUDIODEVICEADDED, 1)
    assert player.silent_reason is None
    assert tape.opened == 1
    news(pygame.AUDIODEVICEREMOVED, 2)
    assert player.silent_reason
    assert "goes on in silence" in capsys.readouterr().out
    news(pygame.AUDIODEVICEADDED, 0)
    assert player.silent_reason is None
    assert "sound is back" in capsys.readouterr().out


def test_a_trial_that_is_for_the_ears_says_on_the_screen_that_nothing_is_heard() -> None:
    player = Player(1.0, Tape("there is no sound device (test)."))
    player.open()
    by_ear = view(Phase.WAITING, level=replace(LEVEL, feedback="sound"))
    assert "no sound device" in str(player.trouble(by_ear))
    assert player.trouble(view(Phase.WAITING)) is None
