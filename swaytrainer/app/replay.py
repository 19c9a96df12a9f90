"""``swaytrainer replay``: a recording through the same path again, with the identical mark."""

from __future__ import annotations

import argparse
import json
import time
from collections.abc import Callable, Iterable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sitting.inputs import Input
from swaytrainer.store.recording import Recording, outcome_json, read_recording
from swaytrainer.store.trials import difference_words, only_shown, replayed
from swaytrainer.words import Name, say, tr, translated

if TYPE_CHECKING:
    from swaytrainer.app.window import Window
    from swaytrainer.sound.player import Player


class RecordedSource:
    """Gives a recording's inputs when they are due.

    Args:
        inputs: in their order.
        clock: recorded seconds, at the pace wanted.
    """

    def __init__(self, inputs: Iterable[Input], clock: Callable[[], float]) -> None:
        self._inputs = list(inputs)
        self._next = 0
        self._clock = clock
        # The recording's host time goes on from here.
        first_s = self._inputs[0].host_s if self._inputs else 0.0
        self._ahead_s = first_s - clock()

    @property
    def ended(self) -> bool:
        """All has been given."""
        return self._next >= len(self._inputs)

    def poll(self) -> list[Input]:
        """All that has become due since the last call."""
        now_s = self._clock() + self._ahead_s
        begin = self._next
        while self._next < len(self._inputs) and self._inputs[self._next].host_s <= now_s:
            self._next += 1
        return self._inputs[begin : self._next]


def replay(options: argparse.Namespace) -> int:
    """Run the command; 0 if every mark is as it was shown, 3 if a newer version differs."""
    if options.json and not options.fast:
        raise SwaytrainerError(
            say("--json is for --fast."), say("Add --fast, or leave --json out.")
        )
    if not 0.05 <= options.speed <= 50.0:
        raise SwaytrainerError(
            say("A speed of {speed:g} can't be shown.", speed=options.speed),
            say("Give 0.05 to 50, or --fast."),
        )
    recording = read_recording(options.file)
    if not options.fast:
        return _show(recording, options)
    return _report(recording, options.file, options.json)


def _report(recording: Recording, path: Path, as_json: bool) -> int:
    trials, cut_short = replayed(recording)
    unfounded = only_shown(recording, trials)
    differs = bool(unfounded) or any(trial.same_as_shown is False for trial in trials)
    if as_json:
        told = {
            "file": str(path),
            "made": recording.made,
            "version": recording.version,
            "vaulter": recording.setup.vaulter.name,
            "level": recording.setup.level.id,
            "damage": list(recording.damage),
            "under_way": cut_short,
            "only_shown": list(unfounded),
            "trials": [
                {**outcome_json(t.outcome), "same_as_shown": t.same_as_shown} for t in trials
            ],
        }
        print(json.dumps(told, indent=2, ensure_ascii=False))
        return 3 if differs else 0
    for sentence in recording.damage:
        print(translated("Damage: {what}", what=sentence))
    if not trials:
        print(translated("{path} holds no finished trial.", path=Name(path)))
    if cut_short is not None:
        print(tr(cut_short))
    for trial in trials:
        outcome = trial.outcome
        mark = say("no mark")
        if outcome.mark is not None:
            mark = say("mark {mark:.2f}", mark=outcome.mark)
        line = say(
            "Trial {n}: {mark}. {reason}", n=outcome.number, mark=mark, reason=outcome.reason
        )
        print(tr(line))
        if trial.same_as_shown is False:
            print(f"  {tr(difference_words(trial, recording))}")
    for sentence in unfounded:
        print(translated("Damage: {what}", what=sentence))
    return 3 if differs else 0


def shown_on(window: Window, player: Player, recording: Recording, speed: float) -> None:
    """Show a recording again on a window that is there, until its end or Esc.

    Args:
        window, player: they stay open.
        recording: read whole.
        speed: times real time.
    """
    from swaytrainer.app.play import play
    from swaytrainer.store.session import Session

    begin_s = time.monotonic()

    def clock() -> float:
        return (time.monotonic() - begin_s) * speed

    source = RecordedSource(recording.inputs, clock)
    session = Session(recording.setup, None, lambda: datetime.now().astimezone())
    play(session, source, window, player, 1, clock, until=lambda _events: source.ended, live=False)


def _show(recording: Recording, options: argparse.Namespace) -> int:
    from swaytrainer.app.play import open_player
    from swaytrainer.app.window import Window, display_missing

    if not recording.inputs:
        # A window would open and close at once.
        raise SwaytrainerError(
            say("{path} holds nothing to be seen again.", path=Name(options.file)),
            say("--fast tells what is in it."),
        )
    if display_missing():
        raise SwaytrainerError(
            say("There is no display to replay on."),
            say("Use --fast to have the marks without one."),
        )
    window = Window(off_screen=False, full_screen=options.full_screen)
    player = open_player(options.mute, options.volume, options.sound_device, options.language)
    try:
        shown_on(window, player, recording, options.speed)
    finally:
        player.close()
        window.close()
    return _report(recording, options.file, as_json=False)
