"""Render the prompts anew: ``python -m swaytrainer.sound.prompts.make``.

Needs ``espeak-ng`` and ``oggenc`` (Debian: espeak-ng, vorbis-tools) here, and nowhere else: what it
makes is kept beside it, one small Ogg Vorbis file a prompt, and may be replaced by a club's own
voice. The synthesiser is free software under the GPL 3; neither it nor its data is shipped. What it
says is our own text, and we ship the sound of it under the project's licence: a program's output is
not covered by its copyright (the GNU project's own answer, gnu.org/licenses/gpl-faq.html, "Can I
use GPL-covered editors and tools to develop nonfree programs?" and "output", from memory).

Each phrase is trimmed, faded at its ends and brought to one loudness: equal root mean square over
its sounding parts, its peaks rounded off softly where they would reach too high.
"""

from __future__ import annotations

import argparse
import io
import shutil
import subprocess
import wave
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sound.prompts.lessons import lesson_phrases
from swaytrainer.sound.prompts.phrases import PHRASES
from swaytrainer.words import use_language

VOICES: Final = {"en": "en-gb", "de": "de"}
WORDS_A_MINUTE: Final = 165
PITCH: Final = 55
QUALITY: Final = "-1"
#: Root mean square over the sounding parts, and the loudest sample allowed (the coding adds some).
LOUDNESS: Final = 0.2
PEAK: Final = 0.8
#: Below this share of its peak the ends are silence.
_SILENT: Final = 0.02
_FADE_S: Final = 0.008
_WINDOW_S: Final = 0.02

Samples = NDArray[np.float64]


def finished(samples: Samples, rate_hz: int) -> Samples:
    """Trimmed, faded and brought to the common loudness; shape (N,), -1 to 1.

    Raises:
        SwaytrainerError: nothing can be heard.
    """
    loudest = float(np.max(np.abs(samples), initial=0.0))
    if loudest == 0.0:
        raise SwaytrainerError("A prompt is silent.", "Look at its phrase and at its voice.")
    sounding = np.flatnonzero(np.abs(samples) > _SILENT * loudest)
    spare = round(_FADE_S * rate_hz)
    begin, end = max(sounding[0] - spare, 0), sounding[-1] + spare + 1
    cut = samples[begin:end].copy()
    fade = 0.5 - 0.5 * np.cos(np.pi * np.arange(min(spare, len(cut) // 2)) / spare)
    cut[: len(fade)] *= fade
    cut[len(cut) - len(fade) :] *= fade[::-1]
    quiet, loud = 0.0, 100.0 / loudest
    for _ in range(40):  # halving: the rounded peaks have no closed form
        gain = 0.5 * (quiet + loud)
        shaped: Samples = PEAK * np.tanh(gain * cut / PEAK)
        if loudness(shaped, rate_hz) < LOUDNESS:
            quiet = gain
        else:
            loud = gain
    return shaped


def loudness(samples: Samples, rate_hz: int) -> float:
    """Root mean square over the windows that sound: those within 20 dB of the loudest."""
    width = round(_WINDOW_S * rate_hz)
    power = (samples[: len(samples) // width * width].reshape(-1, width) ** 2).mean(axis=1)
    return float(np.sqrt(power[power >= 0.01 * power.max()].mean()))


def spoken(phrase: str, voice: str) -> tuple[Samples, int]:
    """What the synthesiser says, -1 to 1, and its rate (Hz)."""
    said = subprocess.run(
        ["espeak-ng", "-v", voice, "-s", str(WORDS_A_MINUTE), "-p", str(PITCH), "--stdout", phrase],
        check=True,
        capture_output=True,
    ).stdout
    with wave.open(io.BytesIO(said)) as file:
        rate_hz = file.getframerate()
        # A streamed header does not know the length: read what there is.
        data = file.readframes(len(said))
    data = data[: len(data) // 2 * 2]
    return np.frombuffer(data, dtype="<i2") / 32768.0, rate_hz


def write_ogg(samples: Samples, rate_hz: int, path: Path) -> None:
    """Keep the samples as Ogg Vorbis, the same bytes each time."""
    whole = np.round(np.clip(samples, -1.0, 1.0) * 32767).astype("<i2")
    subprocess.run(
        ["oggenc", "-Q", "-r", "-B", "16", "-C", "1", "-R", str(rate_hz), "-q", QUALITY,
         "--serial", "1", "-o", str(path), "-"],
        check=True,
        input=whole.tobytes(),
    )  # fmt: skip


def main() -> None:
    """Render all of them."""
    parser = argparse.ArgumentParser(description="Render the spoken prompts.")
    parser.add_argument("--out", type=Path, default=Path(__file__).parent, metavar="DIR")
    out: Path = parser.parse_args().out
    for tool in ("espeak-ng", "oggenc"):
        if shutil.which(tool) is None:
            raise SwaytrainerError(
                f"{tool} is not installed.", "On Debian: apt-get install espeak-ng vorbis-tools."
            )
    total = count = 0
    for language, phrases in PHRASES.items():
        folder = out / language
        folder.mkdir(exist_ok=True)
        use_language(language)
        for prompt, phrase in {**phrases, **lesson_phrases()}.items():
            path = folder / f"{prompt.replace(' ', '-')}.ogg"
            samples, rate_hz = spoken(phrase, VOICES[language])
            write_ogg(finished(samples, rate_hz), rate_hz, path)
            total += path.stat().st_size
            count += 1
    print(f"{count} prompts, {total / 1000:.0f} kB in {out}")


if __name__ == "__main__":
    main()
