"""The small commands, vaulter and list, and the way to those about a board."""

from __future__ import annotations

import argparse
import gc
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import replace
from datetime import datetime
from typing import Final

from swaytrainer.store.home import Home
from swaytrainer.training.risk import needs_spotter
from swaytrainer.training.vaulter import Vaulter, called
from swaytrainer.words import Name, tr, translated


def run(options: argparse.Namespace) -> int:
    """Run one of these commands; its exit status."""
    home = Home(options.home) if options.home else Home.usual()
    commands: dict[str, Callable[[argparse.Namespace, Home], int]] = {
        "vaulter": _vaulter,
        "list": _list,
        "board": _board,
        "calibrate": _calibrate,
        "check": _check,
        "feet": _feet,
        "progress": _progress,
        "report": _report,
        "ladder": _ladder,
        "index": _index,
        "backup": _backup,
        "restore": _restore,
        "person": _person,
        "export": _export,
        "stream": _stream,
        "scope": _scope,
        "office": _office,
        "squad": _squad,
        "contest": _contest,
        "scoreboard": _scoreboard,
    }
    with _seldom_collecting() if options.command in _TABLES else nullcontext():
        return commands[options.command](options, home)


#: Commands that make hundreds of thousands of small values, answer, and end.
_TABLES: Final = frozenset({"progress", "report", "ladder", "index", "squad", "contest"})


@contextmanager
def _seldom_collecting() -> Iterator[None]:
    """Look seldom for cycles of garbage: a table has none, and looking takes a quarter of its time.

    ``python -m tests.bench.large`` measures the tables.
    """
    before = gc.get_threshold()
    gc.set_threshold(50_000, *before[1:])
    try:
        yield
    finally:
        gc.set_threshold(*before)


def _calibrate(options: argparse.Namespace, home: Home) -> int:
    from swaytrainer.app.calibrate import calibrate

    return calibrate(options, home)


def _check(options: argparse.Namespace, home: Home) -> int:
    from swaytrainer.app.check import check

    return check(options, home)


def _progress(options: argparse.Namespace, home: Home) -> int:
    from swaytrainer.app.progress import progress

    return progress(options, home)


def _report(options: argparse.Namespace, home: Home) -> int:
    from swaytrainer.app.report import report

    return report(options, home)


def _ladder(options: argparse.Namespace, home: Home) -> int:
    from swaytrainer.app.ladder import ladder

    return ladder(options, home)


def _index(options: argparse.Namespace, home: Home) -> int:
    from swaytrainer.app.index import index

    return index(options, home)


def _backup(options: argparse.Namespace, home: Home) -> int:
    from swaytrainer.app.backup import backup

    return backup(options, home)


def _restore(options: argparse.Namespace, home: Home) -> int:
    from swaytrainer.app.backup import restore

    return restore(options, home)


def _export(options: argparse.Namespace, home: Home) -> int:
    from swaytrainer.app.export import export

    return export(options, home)


def _stream(options: argparse.Namespace, home: Home) -> int:
    from swaytrainer.app.export_live import stream

    return stream(options, home)


def _person(options: argparse.Namespace, home: Home) -> int:
    from swaytrainer.app.person import person

    return person(options, home)


def _scope(options: argparse.Namespace, home: Home) -> int:
    from swaytrainer.app.scope import scope

    return scope(options, home)


def _office(options: argparse.Namespace, home: Home) -> int:
    from swaytrainer.app.office import office

    return office(options, home)


def _contest(options: argparse.Namespace, home: Home) -> int:
    from swaytrainer.app.contest import contest

    return contest(options, home)


def _scoreboard(options: argparse.Namespace, home: Home) -> int:
    from swaytrainer.app.scoreboard import scoreboard

    return scoreboard(options, home)


def _squad(options: argparse.Namespace, home: Home) -> int:
    from swaytrainer.app.squad import squad

    return squad(options, home)


def _feet(options: argparse.Namespace, home: Home) -> int:
    from swaytrainer.app.feet import feet

    return feet(options, home)


def _vaulter(options: argparse.Namespace, home: Home) -> int:
    if options.name is not None:
        given = {
            "foot_length_mm": options.foot_length,
            "stance_width_mm": options.stance_width,
            "height_mm": options.height,
            "born": options.born,
            "group": options.group,
            "caution": options.caution,
        }
        given = {field: value for field, value in given.items() if value is not None}
        year = datetime.now().astimezone().year
        there = {v.name: v for v in home.vaulters()}
        known = there.get(called(options.name, there) or options.name)
        # Feet grow: whoever is there already is changed, if there is something to change.
        if known is not None and given:
            home.change_vaulter(replace(known, **given), year)
        else:
            home.add_vaulter(Vaulter(options.name, **given), year)
    for v in home.vaulters():
        print(_in_words(v))
    if not home.vaulters():
        print(
            translated(
                "There is no vaulter yet. Add one at the desk, or with: swaytrainer vaulter NAME"
            )
        )
    return 0


def _in_words(v: Vaulter) -> str:
    facts = [
        translated("foot {mm:.0f} mm", mm=v.foot_length_mm),
        translated("stance {mm:.0f} mm", mm=v.stance_width_mm),
    ]
    facts += [translated("{mm:.0f} mm tall", mm=v.height_mm)] if v.height_mm else []
    facts += [translated("born {year}", year=v.born)] if v.born is not None else []
    facts += [translated("group {name}", name=Name(v.group))] if v.group else []
    facts += [translated("caution: {what}", what=Name(v.caution))] if v.caution else []
    return f"{v.name}: {', '.join(facts)}"


def _list(options: argparse.Namespace, home: Home) -> int:
    if options.levels:
        return _list_levels(home)
    paths = home.recordings()
    for path in paths:
        print(path)
    if not paths:
        print(translated("No recordings in {path} yet.", path=Name(home.path)))
    return 0


def _list_levels(home: Home) -> int:
    levels, troubles = home.levels()
    width = max(len(level.id) for level in levels)
    for level in levels:
        risky = f" ({translated('with a spotter')})" if needs_spotter(level) else ""
        print(f"{level.id:<{width}}  {tr(level.title)}{risky}")
    for trouble in troubles:
        print(tr(trouble))
    return 0


def _board(options: argparse.Namespace, home: Home) -> int:
    from swaytrainer.app.board import board

    return board(options, home)
