from __future__ import annotations

import math
import string

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sound.prompts.lessons import LESSONS
from swaytrainer.sound.prompts.make import LOUDNESS, PEAK, VOICES, finished, loudness
from swaytrainer.sound.prompts.phrases import PHRASES, PROMPTS, spoken_mark
from swaytrainer.sound.tones import RATE_HZ
from swaytrainer.sound.voice import VOICE_GAIN, Speaker, prompt_file
from swaytrainer.training.tasks.catalogue import KINDS
from swaytrainer.training.tasks.task import TaskKind
from tests.sound.tape import Tape, decoded

EVERY = [(language, prompt) for language in PHRASES for prompt in PROMPTS]
EVERY_LESSON = [(language, prompt) for language in PHRASES for prompt in LESSONS.values()]


def test_every_language_says_everything_and_has_a_voice() -> None:
    for language, phrases in PHRASES.items():
        assert set(phrases) == set(PROMPTS), language
        assert all(phrase.strip() for phrase in phrases.values())
    assert set(VOICES) == set(PHRASES)
    assert set("".join(PROMPTS)) <= set(string.ascii_lowercase + string.digits + " ")


@pytest.mark.parametrize(("language", "prompt"), EVERY)
def test_every_prompt_is_there_is_short_and_as_loud_as_the_others(
    language: str, prompt: str
) -> None:
    stereo = decoded(prompt_file(language, prompt))
    assert stereo is not None
    samples = stereo[:, 0] / 32768.0
    assert 0.15 < len(samples) / RATE_HZ < 2.5
    assert loudness(samples, RATE_HZ) == pytest.approx(LOUDNESS, rel=0.1)
    # Trimmed: it is heard within a twentieth of a second, and to the end.
    heard = np.flatnonzero(np.abs(samples) > 0.02)
    assert heard[0] < 0.05 * RATE_HZ
    assert len(samples) - heard[-1] < 0.05 * RATE_HZ


def test_all_files_together_are_small_and_none_is_left_over() -> None:
    folder = prompt_file("en", "go").parents[1]
    files = set(folder.rglob("*.ogg"))
    assert files == {prompt_file(*each) for each in (*EVERY, *EVERY_LESSON)}
    short = [prompt_file(*each) for each in EVERY]
    assert sum(file.stat().st_size for file in short) < 600_000
    assert sum(file.stat().st_size for file in files) < 1_500_000


@pytest.mark.parametrize("language", list(PHRASES))
@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.name)
def test_a_lesson_is_spoken_within_its_time(language: str, kind: TaskKind) -> None:
    """After the word that it is to be tried, no sentence comes so late that it is dropped."""
    free_s = _seconds(language, "try")
    begins_s = 0.0
    for until_s, sentence in kind.lesson:
        spoken_s = _seconds(language, LESSONS[kind.name, sentence])
        assert 0.5 < spoken_s < 5.0
        begins = max(begins_s, free_s)
        assert begins - begins_s < 4.0, "it would not be fresh any more"
        free_s = begins + spoken_s
        begins_s = until_s
    assert free_s < begins_s + 2.0


def _seconds(language: str, prompt: str) -> float:
    stereo = decoded(prompt_file(language, prompt))
    assert stereo is not None, prompt
    return len(stereo) / RATE_HZ


@given(st.integers(0, 100))
def test_a_mark_is_said_as_it_is_shown(tenths: int) -> None:
    prompts = spoken_mark(tenths / 10)
    assert set(prompts) <= set(PROMPTS)
    shown = "".join("." if p == "point" else p for p in prompts[1:])
    assert float(shown) == tenths / 10


@pytest.mark.parametrize("mark", [None, math.nan, math.inf, -0.1, 10.1])
def test_what_is_no_mark_is_said_so(mark: float | None) -> None:
    assert spoken_mark(mark) == ("no mark",)


def test_a_line_is_its_prompts_one_after_another_without_clicks() -> None:
    speaker = Speaker(Tape(), "de")
    seven, point, three = (speaker.line((p,)) for p in ("7", "point", "3"))
    line = speaker.line(("7", "point", "3"))
    assert line is not None
    assert seven is not None
    assert point is not None
    assert three is not None
    np.testing.assert_array_equal(line[: len(seven)], seven)
    np.testing.assert_array_equal(line[-len(three) :], three)
    assert len(line) > len(seven) + len(point) + len(three)
    assert np.abs(line).max() <= VOICE_GAIN
    for part in (seven, point, three):
        assert abs(part[0]) < 1e-6
        assert abs(part[-1]) < 1e-6


def test_an_unknown_language_is_spoken_in_english_and_an_unknown_prompt_not_at_all() -> None:
    speaker = Speaker(Tape(), "tlh")
    assert speaker.language == "en"
    assert speaker.line(("go", "no such prompt")) is None
    assert speaker.line(()) is None


def test_finishing_trims_fades_and_levels() -> None:
    rate = 22_050
    t = np.arange(rate) / rate
    raw = np.where((t > 0.3) & (t < 0.7), 0.02 * np.sin(math.tau * 200 * t), 0.0)
    done = finished(raw, rate)
    assert len(done) / rate == pytest.approx(0.4, abs=0.02)
    assert loudness(done, rate) == pytest.approx(LOUDNESS, rel=0.01)
    assert np.abs(done).max() <= PEAK
    assert abs(done[0]) < 1e-3
    assert abs(done[-1]) < 1e-3
    with pytest.raises(SwaytrainerError, match="silent"):
        finished(np.zeros(100), rate)


def test_the_files_are_mono_ogg_at_the_synthesiser_s_rate() -> None:
    """As the script writes them: the identification header of Vorbis I, section 4.2.2."""
    for language, prompt in EVERY:
        head = prompt_file(language, prompt).read_bytes()[:64]
        assert head[:4] == b"OggS"
        at = head.index(b"\x01vorbis") + 7
        channels, rate = head[at + 4], int.from_bytes(head[at + 5 : at + 9], "little")
        assert (channels, rate) == (1, 22_050)
