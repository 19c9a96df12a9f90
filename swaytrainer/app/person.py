"""``swaytrainer person``: all that is kept of one person, handed out or erased.

What the General Data Protection Regulation (EU) 2016/679 gives everybody: access (article 15), a
copy that other programs can read (article 20), erasure (article 17). When a club must do it, its
own rules and advisers say.
"""

from __future__ import annotations

import argparse
import csv
import io
import json
from pathlib import Path
from typing import Any, Final
from zipfile import ZIP_DEFLATED, ZipFile

from swaytrainer.app.backup import new_file, refuse_inside
from swaytrainer.app.index import opened, refreshed
from swaytrainer.app.person_traces import Traces, mentions, same_name, traces, wipe
from swaytrainer.errors import SwaytrainerError
from swaytrainer.exchange.cells import neutral
from swaytrainer.index.database import FILE as INDEX
from swaytrainer.index.database import open_url
from swaytrainer.index.hall import shared_list, take_out
from swaytrainer.index.reading import read_file
from swaytrainer.progress.assess import counted
from swaytrainer.store.erased import FILE, erased_bytes, read_erased, with_name
from swaytrainer.store.home import Home, replace_file
from swaytrainer.words import Name, say, tr, translated

_ABOUT: Final = (
    "All that swaytrainer keeps of this person. entries: of the data folder's files, by file."
    " recordings: raw signals of every sitting, read by swaytrainer analyse or replay."
    " trials.csv: one row a trial. Units stand in the names: mm, s, N (_n), percent. Frame: seen"
    " from above, vaulter facing forward, x to the right, y forward, origin at the plate's centre."
)


def person(options: argparse.Namespace, home: Home) -> int:
    """Run the command; its exit status."""
    theirs = same_name(options.name)
    found = traces(home, theirs, options.name)
    if not found and not found.unsure:
        raise SwaytrainerError(
            say(
                "Nothing is kept of {name!r} in {path}.",
                name=Name(options.name),
                path=Name(home.path),
            ),
            say("Look at the names with: swaytrainer index --squad"),
        )
    if options.what == "export":
        return _export(home, options.name, found, options.output)
    return _erase(home, options, found)


def _told(found: Traces) -> str:
    entries = sum(map(len, found.entries.values()))
    return say(
        "{recordings} and {lines} in files",
        recordings=counted(len(found.recordings), "recording"),
        lines=counted(entries, "line"),
    )


# Export -------------------------------------------------------------------------------------------


def _export(home: Home, name: str, found: Traces, output: Path) -> int:
    refuse_inside(output, home)
    folder = home.path / "recordings"
    with new_file(output) as file, ZipFile(file, "w", ZIP_DEFLATED) as archive:
        whole = {"about": _ABOUT, "name": name, "entries": found.entries}
        archive.writestr(
            "person.json", json.dumps(whole, indent=1, ensure_ascii=False, default=str)
        )
        archive.writestr("trials.csv", _trials_csv(folder, found.recordings))
        for path in found.recordings:
            archive.write(path, f"recordings/{path.relative_to(folder).as_posix()}")
    print(f"{output}: {tr(_told(found))}.")
    _say_unsure(found)
    return 0


def _trials_csv(folder: Path, recordings: tuple[Path, ...]) -> str:
    rows: list[dict[str, Any]] = []
    for path in recordings:
        read = read_file(folder, path)
        for trial in read.trials:
            sitting, level = read.sitting or {}, read.level or {}
            rows.append(
                {
                    "made": sitting.get("made"),
                    "level": level.get("id"),
                    "recording": read.path,
                    **{k: v for k, v in trial.items() if k not in ("parts", "measures")},
                    **trial["measures"],
                }
            )
    out = io.StringIO()
    writer = csv.DictWriter(out, list(dict.fromkeys(k for row in rows for k in row)), restval="")
    writer.writeheader()
    writer.writerows({k: neutral(v) for k, v in row.items()} for row in rows)
    return out.getvalue()


# Erasure ------------------------------------------------------------------------------------------


def _erase(home: Home, options: argparse.Namespace, found: Traces) -> int:
    name = options.name
    # Opened first: if the server is away, nothing is erased by half.
    hall = None if options.hall is None else open_url(options.hall)
    if not options.yes:
        print(
            translated(
                "{name}: {what} will be erased for good; older backups keep theirs.",
                name=Name(name),
                what=_told(found),
            )
        )
        try:
            typed = input(translated("Type the name to erase it: "))
        except EOFError:
            typed = ""
        if not same_name(name)(typed):
            raise SwaytrainerError(
                say("Nothing was erased: the name was not typed."), say("Type it, or give --yes.")
            )
    # First the list: if the rest is cut off, a restored backup still doesn't bring them back.
    listed = with_name(read_erased(home.path / FILE), name)
    replace_file(home.path / FILE, erased_bytes(listed).decode())
    if hall is not None:
        shared_list(hall, listed)
        many = take_out(hall, same_name(name))
        print(
            translated(
                "Erased from the hall's index: {sittings}.", sittings=counted(many, "sitting")
            )
        )
    wipe(home, same_name(name))
    # Rows that are only deleted can still be read in a database's file.
    for ending in ("", "-journal", "-wal", "-shm"):
        (home.path / (INDEX + ending)).unlink(missing_ok=True)
    engine = opened(home)
    refreshed(engine, home)
    engine.dispose()
    print(translated("Erased: {what}.", what=_told(found)))
    _say_unsure(found)
    for path in mentions(home, name):
        print(
            translated(
                "{path} still holds the name, in a comment or in somebody else's line: look at it.",
                path=Name(path),
            )
        )
    print(
        translated(
            "Backups made before, files exported before, competitions' files outside of the data"
            " folder, and a hall's index elsewhere are not touched."
        )
    )
    return 0


def _say_unsure(found: Traces) -> None:
    for path in found.unsure:
        print(translated("{path} can't be read, but may be theirs: look at it.", path=Name(path)))
