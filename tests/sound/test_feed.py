from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swaytrainer.sound.feed import BLOCK_SAMPLES, Feed
from swaytrainer.sound.loudspeaker import BUFFER_SAMPLES
from swaytrainer.sound.tones import RATE_HZ, to_int16
from swaytrainer.sound.weight_tone import SILENCE, Aim, aim
from tests.sound.listening import pitch_by_fft
from tests.sound.tape import Tape, TapeSound
from tests.sound.test_weight_tone import NO_CLICK

BUFFER_S = BUFFER_SAMPLES / RATE_HZ
#: Sixteen bits round.
ROUNDED = 2 / 32767


def fed() -> tuple[Tape, Feed]:
    tape = Tape()
    return tape, Feed(tape.channel(0), lambda samples: tape.sound(to_int16(samples)))


shares = st.one_of(st.floats(0.0, 100.0), st.just(math.nan))


@settings(max_examples=60)
@given(
    st.lists(
        st.tuples(st.sampled_from(("aim", "top up")), shares, shares, st.floats(0.0, 1.0)),
        min_size=1,
        max_size=60,
    )
)
def test_however_it_is_called_between_buffers_the_tone_stays_whole(
    calls: list[tuple[str, float, float, float]],
) -> None:
    tape, feed = fed()
    now_s = 0.0
    for what, toe_share, right_share, share_of_buffer in calls:
        if what == "aim":
            feed.aim(aim(toe_share, right_share, 35.0, 50.0))
        else:
            feed.top_up()
        now_s += share_of_buffer * BUFFER_S
        tape.run_to(now_s)
    feed.aim(SILENCE)
    while feed.sounding:
        now_s += BUFFER_S
        tape.run_to(now_s)
        feed.top_up()
    tape.run_to(now_s + 3 * BUFFER_S)
    heard = np.concatenate((np.zeros((1, 2)), tape.tone))
    assert np.abs(np.diff(heard, axis=0)).max() < NO_CLICK + ROUNDED
    assert not tape.tone[-1].any()


def test_a_move_is_heard_with_the_next_buffer_but_one_at_the_latest() -> None:
    """What is asked for, is in the block after the one that plays."""
    low, high = Aim(300.0, 1.0, 1.0), Aim(900.0, 1.0, 1.0)
    for moment in np.linspace(0.05, 0.95, 10):
        tape, feed = fed()
        feed.aim(low)
        now_s = 0.0
        for _ in range(40):
            now_s += BUFFER_S / 4
            tape.run_to(now_s)
            feed.top_up()
        buffers = len(tape.alone)
        tape.run_to((buffers + moment) * BUFFER_S)
        feed.aim(high)
        for _ in range(40):
            now_s += BUFFER_S / 4
            tape.run_to(now_s)
            feed.top_up()
        # Buffer ``buffers`` was being played; the next one glides, the one after is there.
        turned = tape.tone[(buffers + 2) * BLOCK_SAMPLES : (buffers + 8) * BLOCK_SAMPLES, 0]
        assert pitch_by_fft(turned) == pytest.approx(900.0, rel=0.005)


class Overtaken(Tape):
    """A mixer that begins the block that waits in the very moment that it is to be replaced."""

    def __init__(self) -> None:
        super().__init__()
        self.armed = False
        channel, tape = self.channels[0], self
        queue = channel.queue

        def overtaken(sound: TapeSound, /) -> None:
            if tape.armed and channel.waiting is not None:
                tape.armed = False
                tape.run_to((len(tape.buffers) + 0.01) * BUFFER_S)
            queue(sound)

        channel.queue = overtaken  # type: ignore[method-assign]


def test_a_block_that_begins_while_it_is_replaced_is_followed_by_the_right_one() -> None:
    tape = Overtaken()
    feed = Feed(tape.channel(0), lambda samples: tape.sound(to_int16(samples)))
    wanted = aim(70.0, 50.0, 35.0, 50.0)
    now_s = 0.0
    for turn in range(60):
        if turn % 7 == 3:
            feed.top_up()
            tape.armed = True
            wanted = aim(55.0 + turn % 25, 40.0 + turn % 20, 35.0, 50.0)
            feed.aim(wanted)
            assert not tape.armed
            now_s = max(now_s, (len(tape.buffers) - 1) * BUFFER_S)
        else:
            feed.aim(wanted)
        now_s += BUFFER_S
        tape.run_to(now_s)
    steps = np.abs(np.diff(tape.tone[: 50 * BLOCK_SAMPLES], axis=0))
    assert np.abs(tape.tone).max() > 0.1
    assert steps.max() < NO_CLICK + ROUNDED
