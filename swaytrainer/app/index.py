"""``swaytrainer index``: the database of all recordings, brought up to date."""

from __future__ import annotations

import argparse
import multiprocessing
import os
import platform
import sys
from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING

from swaytrainer.errors import SwaytrainerError
from swaytrainer.index.building import Built, build
from swaytrainer.index.database import FILE, PATIENCE_S, begun, open_file, open_url
from swaytrainer.index.hall import bring, shared_list, take_out
from swaytrainer.index.queries import newest_trials, squad
from swaytrainer.index.reading import checked
from swaytrainer.progress.assess import counted
from swaytrainer.store.erased import FILE as ERASED_FILE
from swaytrainer.store.erased import Erased, erased_bytes, on_list, read_erased
from swaytrainer.store.home import Home, replace_file

if TYPE_CHECKING:
    from sqlalchemy import Engine


def index(options: argparse.Namespace, home: Home) -> int:
    """Run the command; 0, or 3 if a check found something."""
    engine = opened(home, options.rebuild)
    built = refreshed(engine, home, options.rebuild)
    print(
        f"{counted(built.read, 'file')} read. The index holds {counted(built.sittings, 'sitting')}"
        f" with {counted(built.trials, 'trial')}."
    )
    for note in built.notes:
        print(note)
    if options.hall is not None:
        own, engine = engine, open_url(options.hall)
        station = platform.node() if options.station is None else options.station
        gone = erased_in_hall(engine, home)
        brought = bring(own, engine, station, bar(), gone)
        print(
            f"{counted(brought.brought, 'sitting')} brought to the hall's index. It holds"
            f" {counted(brought.sittings, 'sitting')} with {counted(brought.trials, 'trial')}."
        )
        if brought.deleted:
            print(
                f"{counted(brought.deleted, 'sitting')} deleted here taken out of the hall's index."
            )
        if brought.kept_back:
            print(
                f"{counted(brought.kept_back, 'sitting')} here kept back: their persons were erased"
                " in this hall. To erase them here: swaytrainer person erase NAME"
            )
    if options.vaulter is not None:
        _show_vaulter(engine, options.vaulter)
    elif options.squad:
        _show_squad(engine)
    return _check(home) if options.check else 0


def erased_in_hall(hall: Engine, home: Home) -> Callable[[str], bool]:
    """Put this station's and the hall's list of erased persons together, and take them out there.

    Args:
        hall: the hall's index.
        home: the data folder; its own list takes over what the hall's knows more.

    Returns:
        Whether a name is an erased person's.

    Raises:
        SwaytrainerError: the server is away, or the list can't be used or written.
    """
    path = home.path / ERASED_FILE
    mine = read_erased(path)
    everywhere = [Erased(*entry) for entry in shared_list(hall, mine)]
    if len(everywhere) > len(mine):
        replace_file(path, erased_bytes(everywhere).decode())
    gone = on_list(everywhere)
    many = take_out(hall, gone) if everywhere else 0
    if many:
        print(f"{counted(many, 'sitting')} of erased persons taken out of the hall's index.")
    return gone


def opened(home: Home, rebuild: bool = False, patience_s: float | None = None) -> Engine:
    """The data folder's index.

    Args:
        home: the data folder.
        rebuild: one that can't be used is thrown away.
        patience_s: how long another program that writes is waited for; None for the usual.

    Raises:
        SwaytrainerError: it can't be opened.
    """
    path = home.path / FILE
    try:
        home.path.mkdir(parents=True, exist_ok=True)
        path.touch(0o600)  # names stand in it: for its owner's eyes, as the recordings are
    except OSError as error:
        raise SwaytrainerError(
            f"Can't write to {home.path}: {error.strerror}.",
            "Give a folder that you may write to with --home.",
        ) from None
    patience_s = PATIENCE_S if patience_s is None else patience_s
    try:
        return open_file(path, patience_s)
    except SwaytrainerError as error:
        if not rebuild or "locked" in error.what:
            raise
        for ending in ("", "-journal", "-wal", "-shm"):
            path.with_name(path.name + ending).unlink(missing_ok=True)
        return open_file(path, patience_s)


def refreshed(engine: Engine, home: Home, rebuild: bool = False) -> Built:
    """Bring the index up to date on all cores, with a bar if somebody sees it."""
    folder = home.path / "recordings"
    return build(engine, folder, home.recordings(), rebuild, os.cpu_count() or 1, bar())


def bar() -> Callable[[int, int], None]:
    """What shows how far it is, where somebody sees it."""
    return _bar if sys.stderr.isatty() else (lambda _done, _all: None)


def _bar(done: int, everything: int) -> None:
    if done % 16 and done != everything:
        return
    full = 40 * done // everything
    print(
        f"\r[{'#' * full}{'.' * (40 - full)}] {done} of {everything}",
        end="\n" if done == everything else "",
        file=sys.stderr,
        flush=True,
    )


def _show_squad(engine: Engine) -> None:
    with begun(engine, reads=True) as connection:
        for s in squad(connection):
            print(
                f"{s.name}: {counted(s.sittings, 'sitting')}, {counted(s.trials, 'trial')},"
                f" {s.counted} of them counted; last {_moment(s.last)}"
            )


def _moment(told: str | None) -> str:
    """A sitting's time as people say it."""
    if told is None:
        return "without a date"
    try:
        return f"{datetime.fromisoformat(told):%Y-%m-%d %H:%M}"
    except ValueError:
        return told


def _show_vaulter(engine: Engine, name: str) -> None:
    with begun(engine, reads=True) as connection:
        trials = newest_trials(connection, name)
    if not trials:
        print(f"No recording holds a trial of {name!r}.")
    for t in trials:
        mark = "no mark" if t.mark is None else f"mark {t.mark:.2f}"
        why = "" if t.counts else f" (does not count: {t.why_not})"
        print(f"{_moment(t.made)}  {t.level_id}, trial {t.number}: {mark}{why}")


def _check(home: Home) -> int:
    paths = home.recordings()
    with multiprocessing.get_context("spawn").Pool(os.cpu_count() or 1) as pool:
        found = [sentence for said in pool.imap(checked, paths) for sentence in said]
    for sentence in found:
        print(sentence)
    print(f"{counted(len(paths), 'recording')} computed again: {counted(len(found), 'finding')}.")
    return 3 if found else 0
