"""``swaytrainer contest FILE``: who is next, and the standings, from the recordings themselves."""

from __future__ import annotations

import argparse
import csv
import math
from collections.abc import Sequence
from pathlib import Path

from swaytrainer.errors import SwaytrainerError
from swaytrainer.exchange.cells import neutral
from swaytrainer.squad.contest import (
    Attempt,
    Contest,
    Standing,
    next_up,
    standings,
    team_marks,
)
from swaytrainer.squad.contest_file import read_contest
from swaytrainer.store.history import trials_in
from swaytrainer.store.home import Home
from swaytrainer.store.recording import glance
from swaytrainer.training.history import same_task
from swaytrainer.training.level import Level


def contest(options: argparse.Namespace, home: Home) -> int:
    """Show a contest; its exit status.

    Raises:
        SwaytrainerError: the file can't be used, or the table can't be written.
    """
    path: Path = options.file
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise SwaytrainerError(
            f"{path} can't be read: {error}.", "Give the contest's file."
        ) from None
    names = [v.name for v in home.vaulters()]
    levels = {level.id: level for level in home.level_shelf().levels}
    told = read_contest(text, path.name, names, levels)
    attempts, unread = attempts_of(told, levels[told.level], home)
    for sentence in unread:
        print(sentence)
    _show(told, attempts)
    if options.trials:
        for attempt in sorted(attempts, key=lambda a: (a.vaulter, a.at, a.number)):
            mark = "no mark" if attempt.mark is None else f"{attempt.mark:.1f}"
            print(f"{attempt.vaulter}: {mark}, {attempt.recording}, trial {attempt.number}")
    if options.csv is not None:
        _write(options.csv, told, attempts)
    return 0


def attempts_of(told: Contest, level: Level, home: Home) -> tuple[list[Attempt], list[str]]:
    """All trials of the contest's level in the folder, and what was left out and why."""
    found: list[Attempt] = []
    unread = []
    for path in home.recordings():
        try:
            recording = glance(path)
        except SwaytrainerError as error:
            unread.append(f"Left out: {error.what}")
            continue
        if recording.setup.level.id != told.level:
            continue
        if not same_task(recording.setup.level, level):
            unread.append(f"Left out: {path.name} was made when {told.level} asked something else.")
            continue
        name = recording.setup.vaulter.name
        found += [
            Attempt(name, tried.made, tried.mark, path.name, number)
            for number, tried in enumerate(trials_in(recording), start=1)
        ]
    return found, unread


def _show(told: Contest, attempts: Sequence[Attempt]) -> None:
    print(f"{told.title}: {told.level}, {told.trials} trials each, the mean counts")
    for name, lines in standings(told, attempts).items():
        print(f"\n{name}")
        width = max(len(line.vaulter) for line in lines)
        for line in lines:
            print(f"  {_place(line):>3}  {line.vaulter:<{width}}  {_words(line)}")
        if told.trials == 1:
            print("  With one trial each nobody knows how sure these places are.")
        if any(line.close_to for line in lines):
            print("  ≈ the measurement can't tell these places apart: they may stand off.")
    if told.teams:
        print(f"\nTeams, the best {told.team_counts}")
        for place, team, mark, best in team_marks(told, attempts):
            shown = f"{mark:.2f}" if place is not None else "not whole yet"
            print(f"  {place or '–':>3}  {team}  {shown}  {', '.join(best)}")
    coming = next_up(told, attempts)
    if not coming:
        print("\nAll have done their trials.")
    for what, (name, vaulter, number) in zip(("Next", "then"), coming, strict=False):
        print(f"{what}: {vaulter}, round {number} ({name})")


def _place(line: Standing) -> str:
    return "–" if line.place is None else f"{line.place}{'≈' if line.close_to else ''}"


def _words(line: Standing) -> str:
    marks = " ".join(f"{mark:4.1f}" for mark in line.marks)
    if line.note:
        return f"{marks}  {line.note}"
    close = f"  ≈ {', '.join(line.close_to)}" if line.close_to else ""
    return f"{marks}  mean {line.mean:.2f}  best {line.best:.1f}  spread {line.spread:.1f}{close}"


def _write(path: Path, told: Contest, attempts: Sequence[Attempt]) -> None:
    try:
        with path.open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file)
            head = ["class", "place", "vaulter", "mean", "best", "spread", "can't be told from"]
            writer.writerow([*head, "note", *(f"trial {n + 1}" for n in range(told.trials))])
            for name, lines in standings(told, attempts).items():
                for line in lines:
                    row = [name, line.place, line.vaulter, line.mean, line.best, line.spread]
                    cells = [*row, ", ".join(line.close_to), line.note, *line.marks]
                    writer.writerow([_cell(cell) for cell in cells])
    except OSError as error:
        raise SwaytrainerError(
            f"Can't write {path}: {error.strerror}.", "Give a file that you may write with --csv."
        ) from None


def _cell(value: object) -> object:
    return "" if isinstance(value, float) and math.isnan(value) else neutral(value)
