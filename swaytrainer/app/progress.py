"""``swaytrainer progress``: has a vaulter changed, or was it just another day?"""

from __future__ import annotations

import argparse
import csv
import json
import math
from collections.abc import Sequence
from dataclasses import asdict
from datetime import date, datetime
from pathlib import Path
from typing import Any

from swaytrainer.app.about import overviews
from swaytrainer.app.gathered import gathered
from swaytrainer.app.past import Past
from swaytrainer.errors import SwaytrainerError
from swaytrainer.exchange.cells import neutral
from swaytrainer.progress.about import RECENT_DAYS, About, rungs_of
from swaytrainer.progress.assess import USUAL, Report, Row, assess, counted, unit_of
from swaytrainer.progress.change import NOT_ENOUGH
from swaytrainer.progress.contrasts import Contrast, contrasts_of
from swaytrainer.progress.senses import senses
from swaytrainer.progress.terms import terms_words
from swaytrainer.store.home import Home
from swaytrainer.training.vaulter import Vaulter


def progress(options: argparse.Namespace, home: Home) -> int:
    """The command; its exit status."""
    if options.squad:
        from swaytrainer.app.squad_table import as_text, squad_sheet

        print(as_text(squad_sheet(home, datetime.now().astimezone().date())))
        return 0
    measures = tuple(dict.fromkeys(options.measure or USUAL))
    for key in measures:
        if key not in senses():
            raise SwaytrainerError(
                f"There is no measure {key!r} to follow.", f"Take one of {', '.join(senses())}."
            )
    past = Past(home)
    found, notes = gathered(home, measures, _since(options.since), past)
    report = assess(found, measures, options.name, options.block_days, notes)
    if options.csv is not None:
        _write_csv(options.csv, report)
    if options.json:
        print(_json(report))
        return 0
    print(_text(report, home))
    if options.name is not None:
        print("\n".join(_besides(past, home, report.rows[0].vaulter)))
    return 0


def _besides(past: Past, home: Home, name: str) -> list[str]:
    """Where somebody stands on the ladders, and how much was trained."""
    levels, _ = home.levels()
    done, steps = overviews(past, home, [name], levels)[name]
    about = About(
        Vaulter(name), datetime.now().astimezone().date(), rungs_of(levels), done, (), steps
    )
    load = about.load(RECENT_DAYS)
    lines = ["", f"{name}: on the ladders"]
    for step in steps:
        at = "" if step.current is None else f"{step.current.title}: "
        lines.append(f"  {at}{step.step.value} – {step.level.title}. {step.reason}")
    lines += [f"  climbed {c.rungs} up in four weeks, to {c.level.title}" for c in about.climbs()]
    days = counted(load.days, "day")
    lines.append(
        f"  trained on {days} of the last {RECENT_DAYS}, {load.minutes:.0f} min on the board"
    )
    return lines


def _since(text: str | None) -> date | None:
    if text is None:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise SwaytrainerError(
            f"{text!r} is no date.", "Write it as 2026-09-01, with --since."
        ) from None


# On paper -----------------------------------------------------------------------------------------


def _text(report: Report, home: Home) -> str:
    if not report.rows:
        nothing = f"No counted trials in {home.path} yet."
        return "\n".join([nothing, *report.notes])
    lines: list[str] = []
    head: tuple[str, str] | None = None
    for row in sorted(report.rows, key=lambda r: (r.vaulter, terms_words(r.task))):
        now = (row.vaulter, terms_words(row.task))
        if now != head:
            lines += ["", f"{now[0]}: {now[1]}"] if head else [f"{now[0]}: {now[1]}"]
            head = now
        lines += _row_lines(row)
    lines += _contrast_lines(contrasts_of(report.rows))
    lines += ["", *report.refused] if report.refused else []
    lines += ["", *report.notes] if report.notes else []
    lines += [
        "",
        "An unchanged vaulter is called changed once in twenty at most, for each measure by itself",
        "and over all looks together; a trend's interval is of this one look. The first days on a",
        "board also teach the board: who gets better there may only have got to know it.",
    ]
    return "\n".join(lines)


def _contrast_lines(there: Sequence[Contrast]) -> list[str]:
    """Two ways of the same, day by day: eyes, feedback, legs."""
    lines = []
    for c in there:
        whose = f"  {c.measure}, {c.term} {c.one} against {c.other} ({c.task.terms.base})"
        if c.why:
            lines.append(f"{whose}: {c.why}")
            continue
        unit = _step_unit(c.in_percent, unit_of(c.measure))
        clear = "" if c.clear else ": no difference shown"
        by = _step(c.difference, c.low, c.high, unit)
        lines.append(f"{whose}: {by}, {counted(c.days, 'day')} with both{clear}")
    return (
        ["", "Two ways of the same, on days with both (interval of 95 %, of this look)", *lines]
        if (lines)
        else []
    )


def _row_lines(row: Row) -> list[str]:
    c, t = row.change, row.trend
    many = f"{counted(c.days, 'day')}, {counted(c.trials, 'trial')}"
    lines = [f"  {row.measure}: {many}, mean {c.mean:.3g} {row.unit}"]
    if not math.isnan(c.ordinary_low):
        lines.append(f"    an ordinary day: {c.ordinary_low:.3g} to {c.ordinary_high:.3g}")
    by = ""
    if not math.isnan(c.difference):
        unit = _step_unit(c.in_percent, row.unit)
        by = f", {_step(c.difference, c.difference_low, c.difference_high, unit)}"
    lines.append(f"    {c.verdict}{by}. {c.why}")
    if not t.why:
        unit = f"{_step_unit(t.in_percent, row.unit)} a week"
        clear = "" if t.clear else ": no clear trend"
        lines.append(f"    trend {_step(t.per_week, t.low, t.high, unit)}{clear}")
    elif c.verdict != NOT_ENOUGH:
        lines.append(f"    {t.why}")
    return lines + [f"    Note: {note}" for note in row.notes]


def _step_unit(in_percent: bool, unit: str) -> str:
    if in_percent:
        return "%"
    return {"%": "points", "of 10": "marks"}.get(unit, unit)


def _step(value: float, low: float, high: float, unit: str) -> str:
    return f"{value:+.2g} {unit} ({low:+.2g} to {high:+.2g})"


def _flat(row: Row) -> dict[str, Any]:
    c = asdict(row.change)
    spread = c.pop("spread")
    spread_of = spread._asdict() if spread is not None else {}
    about_trend = {f"trend_{k}": v for k, v in row.trend._asdict().items() if k != "days"}
    values = {
        "vaulter": row.vaulter,
        "measure": row.measure,
        "unit": row.unit,
        **asdict(row.task.terms),
        "task": row.task.task,
        **c,
        **{f"spread_{k}": v for k, v in spread_of.items()},
        **about_trend,
        "notes": list(row.notes),
    }
    # NaN is no JSON: what is not known is null, and ``why`` says why.
    return {
        k: None if isinstance(v, float) and not math.isfinite(v) else v for k, v in values.items()
    }


def _flat_contrast(c: Contrast) -> dict[str, Any]:
    told = {**c._asdict(), **asdict(c.task.terms), "task": c.task.task, "clear": c.clear}
    # What differs stands in "one" and "other".
    del told[c.term]
    return {
        k: None if isinstance(v, float) and not math.isfinite(v) else v for k, v in told.items()
    }


def _json(report: Report) -> str:
    return json.dumps(
        {
            "rows": [_flat(row) for row in report.rows],
            "contrasts": [_flat_contrast(c) for c in contrasts_of(report.rows)],
            "not_compared": list(report.refused),
            "notes": list(report.notes),
        },
        indent=2,
        ensure_ascii=False,
    )


def _write_csv(path: Path, report: Report) -> None:
    rows = [{**_flat(row), "notes": " ".join(row.notes)} for row in report.rows]
    columns = list(dict.fromkeys(key for row in rows for key in row))
    try:
        with path.open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, columns, restval="")
            writer.writeheader()
            writer.writerows({k: neutral(v) for k, v in row.items()} for row in rows)
    except OSError as error:
        raise SwaytrainerError(
            f"Can't write {path}: {error.strerror}.", "Give a file that you may write with --csv."
        ) from None
