from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from swaytrainer.sound.loudspeaker import BUFFER_SAMPLES
from swaytrainer.sound.prompter import Line
from swaytrainer.sound.tones import RATE_HZ, to_int16
from swaytrainer.sound.voice import BREAK_OFF_MS, Voice
from tests.sound.tape import Tape, TapeSound

FRAME_S = 1 / 60


class Said:
    """A voice on a tape, and when it said what. Each prompt lasts as its name says, in tenths."""

    def __init__(self) -> None:
        self.tape = Tape()
        self.voice = Voice(self.tape.channel(1), self.sound)
        self.said: list[tuple[float, str]] = []
        self.now_s = 0.0

    def sound(self, prompts: Sequence[str]) -> TapeSound | None:
        if "missing" in prompts:
            return None
        self.said.append((self.now_s, prompts[0]))
        tenths = int(prompts[0].split()[1])
        return self.tape.sound(to_int16(np.full(round(tenths * 0.1 * RATE_HZ), 0.3)))

    def run(self, seconds: float) -> None:
        until_s = self.now_s + seconds
        while self.now_s < until_s:
            self.now_s += FRAME_S
            self.tape.run_to(self.now_s)
            self.voice.tick(self.now_s)

    def say(self, prompt: str, **how: float) -> None:
        self.voice.say(Line((prompt,), **how), self.now_s)  # type: ignore[arg-type]


def test_lines_follow_one_another() -> None:
    said = Said()
    said.say("a 10")
    said.say("b 3")
    said.run(2.0)
    assert [name for _, name in said.said] == ["a 10", "b 3"]
    assert said.said[1][0] - said.said[0][0] >= 1.0


def test_a_line_waits_for_its_time() -> None:
    said = Said()
    said.say("a 3", wait_s=0.5)
    said.run(1.0)
    assert 0.5 <= said.said[0][0] < 0.5 + 2 * FRAME_S


def test_what_has_lost_its_moment_is_not_said() -> None:
    said = Said()
    said.say("a 20")
    said.say("b 3", fresh_s=1.0)
    said.say("c 3", fresh_s=5.0)
    said.run(4.0)
    assert [name for _, name in said.said] == ["a 20", "c 3"]


def test_the_urgent_breaks_in_and_what_waited_is_forgotten() -> None:
    said = Said()
    said.say("a 20")
    said.say("b 3")
    said.run(0.5)
    said.say("c 3", urgent=True)
    said.run(2.0)
    assert [name for _, name in said.said] == ["a 20", "c 3"]
    assert said.said[1][0] - 0.5 < BREAK_OFF_MS / 1000 + 3 * BUFFER_SAMPLES / RATE_HZ + 2 * FRAME_S


def test_what_cannot_be_said_keeps_nothing_up() -> None:
    said = Said()
    said.voice.say(Line(("missing",)), 0.0)
    said.say("a 2")
    said.run(0.5)
    assert [name for _, name in said.said] == ["a 2"]
    assert not said.voice.speaking


@settings(max_examples=25)
@given(
    st.lists(
        st.tuples(
            st.integers(1, 15), st.floats(0, 0.5), st.floats(0, 2), st.booleans(), st.floats(0, 1)
        ),
        max_size=12,
    )
)
def test_never_two_at_once(lines: list[tuple[int, float, float, bool, float]]) -> None:
    said = Said()
    for tenths, wait_s, fresh_s, urgent, pause_s in lines:
        said.say(f"x {tenths}", wait_s=wait_s, fresh_s=fresh_s, urgent=urgent)
        said.run(pause_s)
    said.run(1.0)
    played = said.tape.channels[1].played
    assert len(played) == len(said.said)
    if said.tape.buffers:
        assert np.abs(said.tape.heard).max() <= 0.3 + 1e-4
