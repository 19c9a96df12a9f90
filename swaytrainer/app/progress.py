"""``swaytrainer progress``: has a vaulter changed, or was it just another day?"""

from __future__ import annotations

import argparse
import csv
import json
import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import asdict, replace
from datetime import date, datetime
from itertools import groupby
from pathlib import Path
from typing import Any, Final

from swaytrainer.app.about import BLOCK_DAYS, about_one
from swaytrainer.app.gathered import gathered
from swaytrainer.app.ladder import STEP_WORDS
from swaytrainer.app.past import Past
from swaytrainer.errors import SwaytrainerError
from swaytrainer.exchange.cells import neutral
from swaytrainer.progress.about import RECENT_DAYS, WORDS, About, measure_words, told
from swaytrainer.progress.assess import USUAL, Course, Report, Row, assess, counted, unit_of
from swaytrainer.progress.change import NOT_ENOUGH
from swaytrainer.progress.contrasts import Contrast, contrasts_of
from swaytrainer.progress.findings import findings
from swaytrainer.progress.senses import senses
from swaytrainer.progress.terms import terms_words
from swaytrainer.report.pages import day_words
from swaytrainer.store.home import Home
from swaytrainer.training.vaulter import Vaulter, called
from swaytrainer.words import Name, say, tr, translated


def progress(options: argparse.Namespace, home: Home) -> int:
    """The command; its exit status."""
    if options.squad:
        return _squad(options, home)
    measures = tuple(dict.fromkeys(options.measure or USUAL))
    for key in measures:
        if key not in senses():
            raise SwaytrainerError(
                say("There is no measure {key!r} to follow.", key=Name(key)),
                say("Take one of {keys}.", keys=Name(", ".join(senses()))),
            )
    about, report = _asked(options, home, measures)
    if options.csv is not None:
        _write_csv(options.csv, [{**_flat(r), "notes": " ".join(r.notes)} for r in report.rows])
    if options.json:
        print(_json(report))
        return 0
    if about is not None:
        print("\n".join([*_in_short(about), ""]))
    print(_text(report, home, _since(options.since)))
    return 0


def _asked(
    options: argparse.Namespace, home: Home, measures: tuple[str, ...]
) -> tuple[About | None, Report]:
    """What the measures tell, and what a coach's words need where one vaulter is asked for.

    Raises:
        SwaytrainerError: there is nobody of that name, or nothing of her.
    """
    since = _since(options.since)
    plain = since is None and options.block_days == BLOCK_DAYS and not options.measure
    name = called(options.name or "", [v.name for v in home.vaulters()])
    if plain and name is not None:
        about, report = _one(home, name, measures)
        if report.rows:
            return about, report
    past = Past(home)
    found, notes = gathered(home, measures, since, past)
    name = None if options.name is None else _whom(options.name, found, home, past, since)
    if plain and any(course.vaulter == name for course in found) and name is not None:
        # Whoever isn't listed may have recordings still.
        return _one(home, name, measures)
    return None, assess(found, measures, name, options.block_days, notes)


def _one(home: Home, name: str, measures: tuple[str, ...]) -> tuple[About, Report]:
    about, report = about_one(home, Vaulter(name), datetime.now().astimezone().date())
    # A page needs what the vaulter's level marks, too.
    rows = tuple(row for row in report.rows if row.measure in measures)
    return about, replace(report, rows=rows)


def _in_short(about: About) -> list[str]:
    """A coach's words first: how it goes, where on the ladders, how much was trained."""
    load = about.load(RECENT_DAYS)
    word, why = told(about)
    lines = [f"{about.vaulter.name}: {tr(WORDS[word])} – {tr(why)}"]
    lines += [f"  {tr(each.words)} ({tr(each.numbers)})" for each in findings(about)]
    for step in about.steps:
        at = "" if step.current is None else f"{tr(step.current.title)}: "
        what = tr(STEP_WORDS[step.step])
        lines.append(f"  {at}{what} – {tr(step.level.title)}. {tr(step.reason)}")
    lines += [
        "  "
        + translated(
            "climbed {rungs} up in four weeks, to {level}", rungs=c.rungs, level=c.level.title
        )
        for c in about.climbs()
    ]
    trained = translated(
        "trained on {n} day of the last {of}, {minutes:.0f} min on the board"
        if load.days == 1
        else "trained on {n} days of the last {of}, {minutes:.0f} min on the board",
        n=load.days,
        of=RECENT_DAYS,
        minutes=load.minutes,
    )
    return [*lines, f"  {trained}"]


def _whom(typed: str, found: Sequence[Course], home: Home, past: Past, since: date | None) -> str:
    """Whose trials are meant.

    Raises:
        SwaytrainerError: she has none, or none since that day, or there is nobody of that name.
    """
    name = called(typed, [course.vaulter for course in found])
    if name is not None:
        return name
    if since is not None:
        before = gathered(home, ("mark",), None, past).courses
        name = called(typed, [course.vaulter for course in before])
        days = [d.day for course in before if course.vaulter == name for d in course.days.days]
        if name is not None and days:
            raise SwaytrainerError(
                say(
                    "{name} has no counted trial since {since}; the last one was on {last}.",
                    name=Name(name),
                    since=Name(day_words(since)),
                    last=Name(day_words(date.fromordinal(max(days)))),
                ),
                say("Give an earlier day with --since, or leave it out."),
            )
    name = called(typed, [v.name for v in home.vaulters()])
    if name is not None:
        raise SwaytrainerError(
            say("{name} has no counted trial yet.", name=Name(name)),
            say("Train first: the gym screen begins with somebody by swaytrainer --vaulter NAME"),
        )
    return typed


def _squad(options: argparse.Namespace, home: Home) -> int:
    """A line for each vaulter."""
    others = {
        "NAME": options.name is not None,
        "--measure": bool(options.measure),
        "--since": options.since is not None,
        "--block-days": options.block_days != BLOCK_DAYS,
    }
    given = [option for option, there in others.items() if there]
    if given:
        raise SwaytrainerError(
            say(
                "The squad's table is of everybody and by its own rules: it takes no {options}.",
                options=Name(", ".join(given)),
            ),
            say("Leave that out, or leave --squad out."),
        )
    from swaytrainer.app.squad_table import as_rows, as_text, squad_lines, squad_sheet

    today = datetime.now().astimezone().date()
    if options.csv is not None or options.json:
        lines, notes = squad_lines(home, today)
        rows = as_rows(lines)
        if options.csv is not None:
            _write_csv(options.csv, rows)
        if options.json:
            told = {"squad": rows, "notes": notes}
            print(json.dumps(told, indent=2, ensure_ascii=False))
            return 0
        print(translated("Written: {path}", path=Name(options.csv)))
    print(as_text(squad_sheet(home, today)))
    return 0


def _since(text: str | None) -> date | None:
    if text is None:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise SwaytrainerError(
            say("{text!r} is no date.", text=Name(text)),
            say("Write it as 2026-09-01, with --since."),
        ) from None


#: Less is what rounding leaves of no difference at all.
_NOTHING: Final = 1e-9
_FOOTNOTE: Final = say(
    "An unchanged vaulter is called changed once in twenty at most, for each measure by itself\n"
    "and over all looks together; a trend's interval is of this one look. The first days on a\n"
    "board also teach the board: who gets better there may only have got to know it."
)


# On paper -----------------------------------------------------------------------------------------


def _text(report: Report, home: Home, since: date | None) -> str:
    notes = [tr(note) for note in report.notes]
    if not report.rows:
        nothing = translated("No counted trials in {home} yet.", home=Name(home.path))
        if since is not None:
            nothing = translated(
                "No counted trials in {home} since {since}.",
                home=Name(home.path),
                since=Name(day_words(since)),
            )
        return "\n".join([nothing, *notes])
    lines: list[str] = []
    ordered = sorted(report.rows, key=lambda r: (r.vaulter, terms_words(r.task)))
    for head, of_it in groupby(ordered, key=lambda r: (r.vaulter, terms_words(r.task))):
        rows = list(of_it)
        lines += ["", f"{head[0]}: {tr(head[1])}"] if lines else [f"{head[0]}: {tr(head[1])}"]
        # What is to be said of all of them is said once.
        shared = [note for note in rows[0].notes if all(note in row.notes for row in rows)]
        lines += ["  " + translated("Note: {note}", note=note) for note in shared]
        for row in rows:
            lines += _row_lines(row, shared)
    lines += _contrast_lines(contrasts_of(report.rows))
    lines += ["", *map(tr, report.refused)] if report.refused else []
    lines += ["", *notes] if notes else []
    lines += ["", translated(_FOOTNOTE)]
    return "\n".join(lines)


def _contrast_lines(there: Sequence[Contrast]) -> list[str]:
    """Two ways of the same, day by day: eyes, feedback, legs."""
    lines = []
    for c in there:
        whose = translated(
            "{measure}, {term} {one} against {other} ({base})",
            measure=Name(c.measure),
            term=c.term,
            one=c.one,
            other=c.other,
            base=c.task.terms.base,
        )
        if c.why:
            lines.append(f"  {whose}: {tr(c.why)}")
            continue
        unit = _step_unit(c.in_percent, unit_of(c.measure))
        by = _step(c.difference, c.low, c.high, unit)
        both = translated("{days} with both", days=counted(c.days, "day"))
        clear = "" if c.clear else f": {translated('no difference shown')}"
        lines.append(f"  {whose}: {by}, {both}{clear}")
    if not lines:
        return []
    head = translated("Two ways of the same, on days with both (interval of 95 %, of this look)")
    return ["", head, *lines]


def _row_lines(row: Row, said: Collection[str]) -> list[str]:
    c, t = row.change, row.trend
    mean = translated(
        "{days}, {trials}, mean {mean:.3g} {unit}",
        days=counted(c.days, "day"),
        trials=counted(c.trials, "trial"),
        mean=c.mean,
        unit=row.unit,
    )
    words = tr(measure_words(row.measure))
    key = "" if words == row.measure else f" ({row.measure})"
    lines = [f"  {words}{key}: {mean}"]
    if not math.isnan(c.ordinary_low):
        ordinary = translated(
            "an ordinary day: {low:.3g} to {high:.3g}", low=c.ordinary_low, high=c.ordinary_high
        )
        lines.append(f"    {ordinary}")
    by = ""
    if not math.isnan(c.difference):
        unit = _step_unit(c.in_percent, row.unit)
        by = f", {_step(c.difference, c.difference_low, c.difference_high, unit)}"
    lines.append(f"    {tr(c.verdict)}{by}. {tr(c.why)}")
    if c.days_missing and c.verdict != NOT_ENOUGH:
        # Days are held against each other in whole blocks: the newest may not be in one yet.
        later = translated(
            "the newest days are looked at when {n} more are there", n=c.days_missing
        )
        lines.append(f"    {later}")
    if not t.why:
        unit = say("{unit} a week", unit=_step_unit(t.in_percent, row.unit))
        slope = translated("trend {step}", step=Name(_step(t.per_week, t.low, t.high, unit)))
        clear = "" if t.clear else f": {translated('no clear trend')}"
        lines.append(f"    {slope}{clear}")
    elif c.verdict != NOT_ENOUGH:
        lines.append(f"    {tr(t.why)}")
    others = [note for note in row.notes if note not in said]
    return lines + ["    " + translated("Note: {note}", note=note) for note in others]


def _step_unit(in_percent: bool, unit: str) -> str:
    if in_percent:
        return "%"
    return {"%": say("points"), "of 10": say("marks")}.get(unit, unit)


def _step(value: float, low: float, high: float, unit: str) -> str:
    value, low, high = (0.0 if abs(x) < _NOTHING else x for x in (value, low, high))
    return translated(
        "{value:+.2g} {unit} ({low:+.2g} to {high:+.2g})",
        value=value,
        unit=unit,
        low=low,
        high=high,
    )


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


def _write_csv(path: Path, rows: Sequence[Mapping[str, Any]]) -> None:
    columns = list(dict.fromkeys(key for row in rows for key in row))
    try:
        with path.open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, columns, restval="")
            writer.writeheader()
            writer.writerows({k: neutral(v) for k, v in row.items()} for row in rows)
    except OSError as error:
        raise SwaytrainerError(
            say("Can't write {path}: {why}.", path=Name(path), why=Name(error.strerror)),
            say("Give a file that you may write with --csv."),
        ) from None
