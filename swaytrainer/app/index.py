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
from swaytrainer.index.queries import names, newest_trials, squad
from swaytrainer.index.reading import checked
from swaytrainer.progress.assess import counted
from swaytrainer.store.erased import FILE as ERASED_FILE
from swaytrainer.store.erased import Erased, erased_bytes, on_list, read_erased
from swaytrainer.store.home import Home, replace_file
from swaytrainer.training.vaulter import called
from swaytrainer.words import Name, say, tr, translated

if TYPE_CHECKING:
    from sqlalchemy import Engine


def index(options: argparse.Namespace, home: Home) -> int:
    """Run the command; 0, or 3 if a check found something."""
    engine = opened(home, options.rebuild)
    built = refreshed(engine, home, options.rebuild)
    print(
        translated(
            "{files} read. The index holds {sittings} with {trials}.",
            files=counted(built.read, "file"),
            sittings=counted(built.sittings, "sitting"),
            trials=counted(built.trials, "trial"),
        )
    )
    for note in built.notes:
        print(tr(note))
    if options.hall is not None:
        own, engine = engine, open_url(options.hall)
        station = platform.node() if options.station is None else options.station
        gone = erased_in_hall(engine, home)
        brought = bring(own, engine, station, bar(), gone)
        print(
            translated(
                "{brought} brought to the hall's index. It holds {sittings} with {trials}.",
                brought=counted(brought.brought, "sitting"),
                sittings=counted(brought.sittings, "sitting"),
                trials=counted(brought.trials, "trial"),
            )
        )
        if brought.deleted:
            print(
                translated(
                    "{sittings} deleted here taken out of the hall's index.",
                    sittings=counted(brought.deleted, "sitting"),
                )
            )
        if brought.kept_back:
            print(
                translated(
                    "{sittings} here kept back: their persons were erased in this hall. To erase"
                    " them here: swaytrainer person erase NAME",
                    sittings=counted(brought.kept_back, "sitting"),
                )
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
        print(
            translated(
                "{sittings} of erased persons taken out of the hall's index.",
                sittings=counted(many, "sitting"),
            )
        )
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
            say("Can't write to {path}: {why}.", path=Name(home.path), why=Name(error.strerror)),
            say("Give a folder that you may write to with --home."),
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
                translated(
                    "{name}: {sittings}, {trials}, {n} of them counted; last {moment}",
                    name=Name(s.name),
                    sittings=counted(s.sittings, "sitting"),
                    trials=counted(s.trials, "trial"),
                    n=s.counted,
                    moment=_moment(s.last),
                )
            )


def _moment(told: str | None) -> str:
    """A sitting's time as people say it."""
    if told is None:
        return say("without a date")
    try:
        return Name(datetime.fromisoformat(told).strftime(tr(say("%Y-%m-%d %H:%M"))))
    except ValueError:
        return Name(told)


def _show_vaulter(engine: Engine, name: str) -> None:
    with begun(engine, reads=True) as connection:
        trials = newest_trials(connection, called(name, names(connection)) or name)
    if not trials:
        print(translated("No recording holds a trial of {name!r}.", name=Name(name)))
    for t in trials:
        mark = say("no mark") if t.mark is None else say("mark {mark:.2f}", mark=t.mark)
        why: str = Name()
        if not t.counts:
            why = say(" (does not count: {why})", why=t.why_not or "")
        print(
            translated(
                "{moment}  {level}, trial {n}: {mark}{why}",
                moment=_moment(t.made),
                level=Name(t.level_id),
                n=t.number,
                mark=mark,
                why=why,
            )
        )


def _check(home: Home) -> int:
    paths = home.recordings()
    with multiprocessing.get_context("spawn").Pool(os.cpu_count() or 1) as pool:
        found = [sentence for said in pool.imap(checked, paths) for sentence in said]
    for sentence in found:
        print(tr(sentence))
    print(
        translated(
            "{recordings} computed again: {findings}.",
            recordings=counted(len(paths), "recording"),
            findings=counted(len(found), "finding"),
        )
    )
    return 3 if found else 0
