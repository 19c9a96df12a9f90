"""A trial with the screen covered, from stepping on to the mark: what is heard, and when."""

from __future__ import annotations

import functools
import math

import numpy as np
import pytest

from swaytrainer.sitting.view import Phase
from swaytrainer.sound.loudspeaker import BUFFER_SAMPLES
from swaytrainer.sound.prompts.phrases import spoken_mark
from swaytrainer.sound.tones import RATE_HZ, Cue, Samples, cue
from swaytrainer.sound.voice import VOICE_GAIN, Speaker
from swaytrainer.sound.weight_tone import (
    DUCKED,
    MIDDLE_HZ,
    OCTAVE_PERCENT,
    OCTAVES,
    SIDE_PERCENT,
    TONE_PEAK,
)
from tests.sound.covered import Covered, covered, level_for_ears
from tests.sound.listening import found_at, pitch_by_fft
from tests.sound.tape import Tape
from tests.sound.test_weight_tone import NO_CLICK

LANGUAGES = ("en", "de")
#: Of the band of the level that is played.
MIDDLE_PERCENT = 0.5 * (level_for_ears().band_low_percent + level_for_ears().band_high_percent)
BUFFER_S = BUFFER_SAMPLES / RATE_HZ
FRAME_S = 1 / 60


@functools.cache
def trial(language: str) -> Covered:
    return covered(language)


def mono(done: Covered) -> Samples:
    heard: Samples = done.tape.heard.mean(axis=1)
    return heard


CUES = (
    ("stepped on", 0, Cue.STEPPED_ON),
    ("countdown tick", 3, Cue.TICK),
    ("countdown tick", 2, Cue.TICK),
    ("countdown tick", 1, Cue.TICK),
    ("trial started", 0, Cue.START),
    ("half time", 0, Cue.HALF_TIME),
    ("trial ended", 0, Cue.END),
)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize(("happening", "number", "which"), CUES)
def test_each_event_s_cue_is_heard_at_its_time(
    language: str, happening: str, number: int, which: Cue
) -> None:
    done = trial(language)
    meant_s = done.time_of(happening, number)
    # The beginning, before the voice joins in.
    beginning = cue(which)[: round(0.09 * RATE_HZ)]
    heard_s, fit = found_at(mono(done), beginning, meant_s - 0.3, 0.6)
    # At half time the tone sounds with it.
    assert fit > (0.6 if happening == "half time" else 0.9)
    assert -0.001 <= heard_s - meant_s <= BUFFER_S + 0.004


def mark_line(done: Covered) -> tuple[str, ...]:
    outcome = next(e.outcome for _, e in done.events if e.outcome is not None)
    assert outcome.mark is not None
    return spoken_mark(outcome.mark)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize(
    ("prompt", "happening", "number", "wait_s"),
    [
        ("stand still", "stepped on", 0, 0.3),
        ("3", "countdown tick", 3, 0.1),
        ("2", "countdown tick", 2, 0.1),
        ("1", "countdown tick", 1, 0.1),
        ("go", "trial started", 0, 0.25),
        ("half time", "half time", 0, 0.3),
        ("the end", "trial ended", 0, 0.6),
    ],
)
def test_what_is_to_be_done_is_spoken_at_its_time(
    language: str, prompt: str, happening: str, number: int, wait_s: float
) -> None:
    done = trial(language)
    line = Speaker(Tape(), language).line((prompt,))
    assert line is not None
    meant_s = done.time_of(happening, number) + wait_s
    heard_s, fit = found_at(mono(done), line, meant_s - 0.5, 1.0)
    assert fit > 0.8
    assert -0.001 <= heard_s - meant_s <= FRAME_S + 2 * BUFFER_S


@pytest.mark.parametrize("language", LANGUAGES)
def test_step_on_comes_before_it_and_the_mark_after_it(language: str) -> None:
    done = trial(language)
    speaker = Speaker(Tape(), language)
    step_on, mark = speaker.line(("step on",)), speaker.line(mark_line(done))
    assert step_on is not None
    assert mark is not None
    heard_s, fit = found_at(mono(done), step_on, 0.0, done.time_of("stepped on"))
    assert fit > 0.95
    ended_s = done.time_of("trial ended")
    heard_s, fit = found_at(mono(done), mark, ended_s, 4.0)
    assert fit > 0.95
    assert ended_s + 0.6 < heard_s < ended_s + 2.0
    # The very mark: another one fits less well.
    other = speaker.line(spoken_mark(1.1))
    assert other is not None
    assert found_at(mono(done), other, ended_s, 4.0)[1] < 0.8


def pieces(done: Covered) -> list[tuple[float, float, float, float]]:
    """While the tone sounds: toe share, right share, pitch (Hz) and place (0 left, 1 right)."""
    width = round(0.08 * RATE_HZ)
    views = [(t, v) for t, v in done.views if v.phase is Phase.RUNNING]
    times = np.array([t for t, _ in views])
    toes = np.array([v.toe_share_percent for _, v in views])
    rights = np.array([v.right_share_percent for _, v in views])
    found = []
    tone = done.tape.tone
    for start in range(0, len(tone) - width, width):
        piece = tone[start : start + width]
        left, right = np.sqrt((piece**2).mean(axis=0))
        if math.hypot(left, right) < 0.1 * TONE_PEAK:
            continue
        # What is heard is from a frame and a buffer ago, at most.
        begin_s, end_s = start / RATE_HZ - 0.03, (start + width) / RATE_HZ - 0.01
        during = (times >= begin_s) & (times <= end_s)
        place = math.atan2(right, left) / (0.5 * math.pi)
        padded = np.concatenate((piece.sum(axis=1) * np.hanning(width), np.zeros(7 * width)))
        spectrum = np.abs(np.fft.rfft(padded))
        pitch = float(np.argmax(spectrum)) * RATE_HZ / len(padded)
        found.append((toes[during].mean(), rights[during].mean(), pitch, place))
    return found


def test_the_pitch_follows_the_toes_and_the_place_the_side() -> None:
    heard = np.array(pieces(trial("en")))
    toes, rights, pitch, place = heard.T
    assert len(heard) > 60
    assert (toes > MIDDLE_PERCENT + 15).any()
    assert (toes < MIDDLE_PERCENT - 15).any()
    assert (rights > 55).any()
    assert (rights < 45).any()
    octaves = np.log2(pitch / MIDDLE_HZ)
    inside = np.abs(octaves) < OCTAVES - 0.02
    slope, at_middle = np.polyfit(toes[inside] - MIDDLE_PERCENT, octaves[inside], 1)
    assert slope == pytest.approx(1 / OCTAVE_PERCENT, rel=0.03)
    assert at_middle == pytest.approx(0.0, abs=0.03)
    assert np.corrcoef(toes[inside], octaves[inside])[0, 1] > 0.995
    within = np.abs(rights - 50.0) < SIDE_PERCENT
    slope, at_middle = np.polyfit(rights[within] - 50.0, place[within], 1)
    assert slope == pytest.approx(0.5 / SIDE_PERCENT, rel=0.1)
    assert at_middle == pytest.approx(0.5, abs=0.01)


def test_inside_the_band_and_outside_a_trial_the_tone_is_silent() -> None:
    done = trial("en")
    tone = np.abs(done.tape.tone).max(axis=1)
    level = next(v for _, v in done.views).level
    quiet_for = 0
    checked = 0
    for t, v in done.views:
        inside = level.band_low_percent <= v.toe_share_percent <= level.band_high_percent
        quiet_for = quiet_for + 1 if v.phase is not Phase.RUNNING or inside else 0
        # Six frames (100 ms): the tone has died away.
        if quiet_for > 6:
            # Up to the next frame: the test's clock goes in steps of 3 ms.
            at = round(t * RATE_HZ)
            assert not tone[at : at + round(0.012 * RATE_HZ)].any(), t
            checked += 1
    assert checked > 600


def test_there_is_no_click_and_nothing_is_clipped() -> None:
    for language in LANGUAGES:
        done = trial(language)
        steps = np.abs(np.diff(done.tape.tone, axis=0))
        assert steps.max() < NO_CLICK + 2 / 32767
        assert np.abs(done.tape.heard).max() < 1.0


def test_while_somebody_speaks_the_tone_steps_back() -> None:
    """Half time is in the middle of leaning out: the voice is louder than the tone by far."""
    done = trial("en")
    begin = round((done.time_of("half time") + 0.4) * RATE_HZ)
    tone = done.tape.tone[begin : begin + round(0.3 * RATE_HZ)]
    loudest = np.sqrt((tone**2).sum(axis=1)).max()
    assert 0.8 * DUCKED * TONE_PEAK < loudest < 1.1 * DUCKED * TONE_PEAK
    voice = Speaker(Tape(), "en").line(("half time",))
    assert voice is not None
    assert np.sqrt((voice**2).mean()) > 2.0 * np.sqrt((tone**2).mean())


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_levels_are_as_stated(language: str) -> None:
    done = trial(language)
    loudest = np.sqrt((done.tape.tone**2).sum(axis=1)).max()
    assert loudest == pytest.approx(TONE_PEAK, rel=0.1)
    start_s = done.time_of("stepped on") + 0.35
    spoken = mono(done)[round(start_s * RATE_HZ) : round((start_s + 0.5) * RATE_HZ)]
    assert 0.15 < np.abs(spoken).max() <= VOICE_GAIN + 0.1


def test_pitch_by_fft_hears_a_known_pitch() -> None:
    t = np.arange(4000) / RATE_HZ
    assert pitch_by_fft(np.sin(math.tau * 612.3 * t)) == pytest.approx(612.3, rel=0.002)
