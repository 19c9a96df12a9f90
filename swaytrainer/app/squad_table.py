"""The squad in a table: who moves, who is stuck, who is due for a step, who did too much."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterable
from datetime import date
from textwrap import wrap
from typing import Any

from swaytrainer.app.about import abouts, since_words, week_words
from swaytrainer.progress.about import RECENT_DAYS, RULES, WORDS, About, Told, Word, told
from swaytrainer.report.sheets import SquadLine, SquadSheet
from swaytrainer.store.home import Home
from swaytrainer.training.ladder import Step
from swaytrainer.training.risk import needs_spotter
from swaytrainer.words import say, short, tr

#: The least; a wider terminal is used.
_WIDTH = 80
_NAME = 14
#: Of one reason.
_MOST_LINES = 3


def squad_sheet(home: Home, today: date, sentence: str = "") -> SquadSheet:
    """The squad's table, whom a coach would look at first on top.

    Raises:
        SwaytrainerError: a file of the data folder can't be used.
    """
    lines, notes = squad_lines(home, today)
    return SquadSheet(
        say("The squad"),
        today,
        tuple(
            SquadLine(
                about.vaulter.name, WORDS[said.word], said.why, since_words(about),
                week_words(about), "" if said.word is Word.STEP else _step(about),
            )
            for said, about in lines
        ),
        RULES,
        tuple(notes),
        sentence,
    )  # fmt: skip


def squad_lines(home: Home, today: date) -> tuple[list[tuple[Told, About]], list[str]]:
    """All vaulters with their word, whom a coach would look at first on top; and what was left out.

    Raises:
        SwaytrainerError: a file of the data folder can't be used.
    """
    known, notes = abouts(home, home.vaulters(), today)
    order = list(Word)
    lines = [(told(about), about) for about in known]
    lines.sort(key=lambda pair: order.index(pair[0].word))
    return lines, notes


def as_rows(lines: Iterable[tuple[Told, About]]) -> list[dict[str, Any]]:
    """The squad's table for other programs: English, points, and numbers as numbers."""
    rows = []
    for said, about in lines:
        week, recent = about.load(7), about.load(RECENT_DAYS)
        up = next((s.level.id for s in about.steps if s.step is Step.UP), None)
        down = next((s.level.id for s in about.steps if s.step is Step.DOWN), None)
        rows.append(
            {
                "vaulter": about.vaulter.name,
                "word": str(WORDS[said.word]),
                "why": str(said.why),
                "days_since": about.days_since,
                "week_days": week.days,
                "week_minutes": round(week.minutes, 2),
                "four_weeks_days": recent.days,
                "four_weeks_minutes": round(recent.minutes, 2),
                "step_up": up,
                "step_down": down,
            }
        )
    return rows


def _step(about: About) -> str:
    for step in about.steps:
        if step.step is Step.UP:
            spotter = needs_spotter(step.level)
            return say(
                "step due: {level}, with a spotter" if spotter else "step due: {level}",
                level=step.level.title,
            )
    return ""


def as_text(sheet: SquadSheet) -> str:
    """The table, as wide as the terminal; with 80 columns fifteen vaulters fit 24 lines.

    A longer name is cut; a longer reason goes on below, so that no number is torn.
    """
    width = max(_WIDTH, shutil.get_terminal_size((_WIDTH, 24)).columns)
    if not sheet.lines:
        return tr(
            say("There is no vaulter yet. Add one at the desk, or with: swaytrainer vaulter NAME")
        )
    heads = [tr(word) for word in (say("last here"), say("last week"), say("how"), say("why"))]
    rows = [
        [line.name, tr(line.since), tr(line.week), tr(line.word), tr(line.why)]
        for line in sheet.lines
    ]
    widths = [min(_NAME, max(len(row[0]) for row in rows))]
    widths += [max(len(head), *(len(row[n + 1]) for row in rows)) for n, head in enumerate(heads)]
    widths[-1] = max(10, width - sum(widths[:-1]) - 2 * len(heads))
    printed = [_line(["", *heads], widths)]
    for row in rows:
        # A unit stays with its number.
        why = re.sub(r"(?<=\d) (?=mm|%)", "\N{NO-BREAK SPACE}", row[-1])
        found = wrap(why, widths[-1], max_lines=_MOST_LINES, placeholder="…") or [""]
        first, *more = (line.replace("\N{NO-BREAK SPACE}", " ") for line in found)
        printed.append(_line([*row[:-1], first], widths))
        printed += [_line([""] * len(heads) + [rest], widths) for rest in more]
    printed.append("")
    footnote = say(
        "A real change is beyond the ordinary day-to-day scatter, on equal terms. What the words"
        " mean stands on the squad's sheet; the numbers, in each vaulter's progress."
    )
    printed += wrap(tr(footnote), width)
    printed += [tr(note) for note in sheet.notes]
    return "\n".join(printed)


def _line(cells: list[str], widths: list[int]) -> str:
    fitted = [short(cell, width) for cell, width in zip(cells, widths, strict=True)]
    return "  ".join(
        f"{cell:<{width}}" for cell, width in zip(fitted, widths, strict=True)
    ).rstrip()
