"""The squad in a table: who moves, who is stuck, who is due for a step, who did too much."""

from __future__ import annotations

import shutil
from datetime import date
from textwrap import wrap

from swaytrainer.app.about import abouts, since_words, week_words
from swaytrainer.progress.about import RULES, WORDS, About, Word, told
from swaytrainer.report.sheets import SquadLine, SquadSheet
from swaytrainer.store.home import Home
from swaytrainer.training.ladder import Step
from swaytrainer.training.risk import needs_spotter
from swaytrainer.words import say, short, tr

#: The least; a wider terminal is used.
_WIDTH = 80
_NAME = 14


def squad_sheet(home: Home, today: date, sentence: str = "") -> SquadSheet:
    """The squad's table, whom a coach would look at first on top.

    Raises:
        SwaytrainerError: a file of the data folder can't be used.
    """
    known, notes = abouts(home, home.vaulters(), today)
    order = list(Word)
    lines = [(told(about), about) for about in known]
    lines.sort(key=lambda pair: order.index(pair[0].word))
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

    A longer name or reason is cut: ``progress NAME`` tells it whole.
    """
    width = max(_WIDTH, shutil.get_terminal_size((_WIDTH, 24)).columns)
    if not sheet.lines:
        return "There is no vaulter yet. Add one: swaytrainer vaulter NAME"
    heads = [tr(word) for word in (say("last here"), say("last week"), say("how"), say("why"))]
    rows = [
        [line.name, tr(line.since), tr(line.week), tr(line.word), tr(line.why)]
        for line in sheet.lines
    ]
    widths = [min(_NAME, max(len(row[0]) for row in rows))]
    widths += [max(len(head), *(len(row[n + 1]) for row in rows)) for n, head in enumerate(heads)]
    widths[-1] = max(10, width - sum(widths[:-1]) - 2 * len(heads))
    printed = [_line(["", *heads], widths), *(_line(row, widths) for row in rows), ""]
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
