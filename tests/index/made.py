"""Recordings and rows for the index's tests, of an invented club."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from swaytrainer.index.reading import Read, Row
from swaytrainer.store.home import Home
from swaytrainer.store.recording import FIRST_LINE, head_block, read_recording
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import level_text, shipped_levels
from swaytrainer.training.outcome import Outcome, Terms
from swaytrainer.training.vaulter import Vaulter
from tests.streams import board_of, setup_for

KEPT = Path(__file__).parents[2] / "sessions"
SETUP = setup_for(board_of(), shipped_levels()[0])
MONDAY = datetime(2026, 9, 7, 17, 0, tzinfo=UTC)
TERMS = Terms(80.0, "causal 2nd-order Butterworth, 10 Hz", 20.0, "firm", "two feet", "open", "full")


def outcome(number: int, mark: float | None = 7.0, reason: str = "Made.") -> Outcome:
    ended, counts = ("complete", True) if mark is not None else ("signal lost", False)
    values = {"mean_speed_mm_s": 10.0 + number, "toe_share_percent": float("nan")}
    return Outcome(
        number, ended, counts, mark, (), 0.0, reason, "Go on.", 0, 0.0, 0.0, values, TERMS
    )


def sitting(
    home: Path,
    name: str,
    day: float,
    outcomes: list[Outcome],
    level: Level = SETUP.level,
) -> Path:
    """A recording that holds nothing but outcomes."""
    setup = replace(SETUP, vaulter=Vaulter(name, 230.0, 180.0), level=level)
    recorder = Home(home).new_recorder(setup, MONDAY + timedelta(days=day))
    for item in outcomes:
        recorder.append_outcome(item)
    recorder.close()
    return recorder.path


def again(source: Path, target: Path, made: datetime) -> float:
    """A kept recording as if made at another time; how many seconds it lasts."""
    recording = read_recording(source)
    data = source.read_bytes()
    at = len(FIRST_LINE)
    end = at + 7 + int.from_bytes(data[at + 3 : at + 7], "little") + 4
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(head_block(recording.setup, made.isoformat()) + data[end:])
    return recording.inputs[-1].host_s - recording.inputs[0].host_s


def made_rows(vaulters: int, trials: int, seed: int) -> list[Read]:
    """Rows of a large club: sittings of five trials, thirty measures each."""
    rng = np.random.default_rng(seed)
    levels = shipped_levels()
    rows = []
    for n in range(trials // 5):
        level = levels[n % len(levels)]
        key = hashlib.sha256(str(n).encode()).hexdigest()[:32]
        when = MONDAY + timedelta(hours=n)
        text = level_text(level)
        row: Row = {
            "id": key,
            "vaulter": f"Vaulter {n % vaulters}",
            "board": "made",
            "level": hashlib.sha256(text.encode()).hexdigest(),
            "path": f"{n}.sway",
            "made": when.isoformat(),
            "made_s": when.timestamp(),
            "version": "0",
        }
        level_row = {
            "hash": row["level"],
            "id": level.id,
            "game": level.game,
            "title": level.title,
            "text": text,
        }
        of_sitting: tuple[Row, ...] = tuple(
            {
                "sitting": key,
                "number": k,
                "counts": k != 5,
                "why_not": None if k != 5 else "Signal lost.",
                "ended": "complete",
                "mark": float(rng.uniform(0, 10)),
                "deduction": 0.0,
                "reason": "Made.",
                "step_offs": 0,
                "off_board_s": 0.0,
                "lost_s": 0.0,
                "body_n": 400.0,
                "known": True,
                "rate_hz": 80.0,
                "filter": TERMS.filter,
                "seconds": 20.0,
                "base": "firm",
                "stance": "two feet",
                "eyes": "open",
                "feedback": "full",
                "parts": [],
                "measures": {f"measure_{m}": float(v) for m, v in enumerate(rng.normal(size=30))},
            }
            for k in range(1, 6)
        )
        rows.append(Read(f"{n}.sway", 1, 1, row, {"id": "made", "cells": 4}, level_row, of_sitting))
    return rows
