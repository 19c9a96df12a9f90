"""``swaytrainer backup`` and ``restore``: the whole data folder in one file, and back.

The file is a zip. ``manifest.json`` in it holds size and SHA-256 of every other file. The index is
not in it: it is made from the recordings.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import shutil
import tempfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path, PurePosixPath
from typing import IO, Any, Final
from zipfile import ZIP_DEFLATED, BadZipFile, ZipFile

from swaytrainer import __version__
from swaytrainer.app.person_traces import wipe
from swaytrainer.errors import SwaytrainerError
from swaytrainer.index.database import FILE as INDEX
from swaytrainer.progress.assess import counted
from swaytrainer.store.erased import FILE as ERASED
from swaytrainer.store.erased import erased_bytes, on_list, parse_erased, read_erased
from swaytrainer.store.home import Home
from swaytrainer.words import Name, say, translated

_MANIFEST: Final = "manifest.json"
_FORMAT: Final = 1
_ANOTHER: Final = say("Take another backup, or copy this one again from where it came.")
_A_BACKUP: Final = say("Give a file that 'swaytrainer backup' wrote.")
#: How every zip with something in it begins (PKWARE, APPNOTE 6.3.10, section 4.3.7).
_ZIP: Final = b"PK\x03\x04"


def backup(options: argparse.Namespace, home: Home) -> int:
    """Write a backup; its exit status."""
    refuse_inside(options.file, home)
    paths = _to_keep(home)
    if not paths:
        raise SwaytrainerError(
            say("There is nothing in {path} to back up.", path=Name(home.path)),
            say("Give the data folder with --home."),
        )
    files: dict[str, dict[str, Any]] = {}
    with new_file(options.file) as file, ZipFile(file, "w", ZIP_DEFLATED) as archive:
        for path in paths:
            name = path.relative_to(home.path).as_posix()
            try:
                data = path.read_bytes()
                archive.writestr(name, data)
            except (OSError, UnicodeError) as error:
                raise SwaytrainerError(
                    say(
                        "Can't take {path} into the backup: {why}.",
                        path=Name(repr(os.fsencode(path))),
                        why=Name(error),
                    ),
                    say("Look at the file, or move it out of the data folder."),
                ) from None
            files[name] = {"size": len(data), "sha256": hashlib.sha256(data).hexdigest()}
        manifest = {"format": _FORMAT, "version": __version__, "files": files}
        archive.writestr(_MANIFEST, json.dumps(manifest, indent=1, ensure_ascii=False))
    print(
        translated(
            "{path}: {files}. It holds personal data: keep it safe.",
            path=Name(options.file),
            files=counted(len(files), "file"),
        )
    )
    return 0


def restore(options: argparse.Namespace, home: Home) -> int:
    """Read a backup into an empty data folder; its exit status."""
    in_the_way = _to_keep(home)
    in_the_way = [path for path in in_the_way if path != home.path / ERASED]
    if in_the_way:
        raise SwaytrainerError(
            say(
                "{path} already holds data, for example {file}: nothing is overwritten.",
                path=Name(home.path),
                file=Name(in_the_way[0].name),
            ),
            say(
                "A backup goes into an empty data folder: give another one (--home), or move all"
                " but {file} out of this one.",
                file=Name(ERASED),
            ),
        )
    known = read_erased(home.path / ERASED)
    if options.erased is not None:
        if not options.erased.is_file():
            raise SwaytrainerError(
                say("There is no file {file}.", file=Name(options.erased)), say("Look at its name.")
            )
        known += read_erased(options.erased)
    try:
        home.path.parent.mkdir(parents=True, exist_ok=True)
        beside = Path(tempfile.mkdtemp(prefix=".restoring-", dir=home.path.parent))
    except OSError as error:
        raise SwaytrainerError(
            say(
                "Can't write beside {path}: {why}.", path=Name(home.path), why=Name(error.strerror)
            ),
            say("Give another data folder with --home."),
        ) from None
    try:
        many = _unpack(options.file, beside)
        # Whoever was erased after this backup was made stays out. Whoever was on its own list
        # had been erased before, and is back in it because somebody entered them again.
        listed = read_erased(beside / ERASED)
        later = [entry for entry in known if entry not in listed]
        before = len(_to_keep(Home(beside)))
        if later:
            wipe(Home(beside), on_list(later))
        if listed or later:
            (beside / ERASED).write_bytes(erased_bytes([*listed, *later]))
        _put_in_place(beside, home.path)
    except OSError as error:
        raise SwaytrainerError(
            say(
                "The backup can't be written to {path}: {why}.",
                path=Name(home.path),
                why=Name(error.strerror),
            ),
            say("Free some space, or give another data folder with --home."),
        ) from None
    finally:
        shutil.rmtree(beside, ignore_errors=True)
    print(
        translated(
            "{path}: {files} of {backup} restored.",
            path=Name(home.path),
            files=counted(many, "file"),
            backup=Name(options.file),
        )
    )
    if later:
        left = before - len([p for p in _to_keep(home) if p.name != ERASED])
        print(
            translated(
                "Kept out because their persons were erased: {files}.",
                files=counted(max(left, 0), "file"),
            )
        )
    return 0


def refuse_inside(path: Path, home: Home) -> None:
    """Refuse a copy inside the data folder: it would be in every later backup, and not be erased.

    Raises:
        SwaytrainerError: it is to lie there.
    """
    if path.resolve().is_relative_to(home.path.resolve()):
        raise SwaytrainerError(
            say("{path} would lie inside the data folder.", path=Name(path)),
            say("Give a place outside of it."),
        )


@contextmanager
def new_file(path: Path) -> Iterator[IO[bytes]]:
    """A new file, for its owner's eyes; it is there whole or not at all.

    Raises:
        SwaytrainerError: there is one already, or it can't be written.
    """
    if path.exists():
        raise SwaytrainerError(
            say("{path} is already there.", path=Name(path)), say("Give another name.")
        )
    beside = path.with_name(path.name + ".new")
    try:
        beside.unlink(missing_ok=True)
        beside.touch(0o600)
        with beside.open("r+b") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    except OSError as error:
        raise SwaytrainerError(
            say("Can't write {path}: {why}.", path=Name(path), why=Name(error.strerror)),
            say("Free some space, or give another place."),
        ) from None
    finally:
        beside.unlink(missing_ok=True)


def _to_keep(home: Home) -> list[Path]:
    """All files of the data folder but the index and what was left half written."""
    return [
        path
        for path in sorted(home.path.rglob("*"))
        if path.is_file()
        and path.suffix != ".new"
        and not (path.parent == home.path and path.name.startswith(INDEX))
    ]


def _unpack(file: Path, folder: Path) -> int:
    """Unpack a backup of which every file is as it was; how many."""
    _require_zip(file)
    try:
        with ZipFile(file) as archive:
            files = _manifest(archive, file)
            held = set(archive.namelist()) - {_MANIFEST}
            for name in sorted(held ^ set(files)):
                raise SwaytrainerError(
                    say(
                        "{file} is damaged: {name} is not in its list."
                        if name in held
                        else "{file} is damaged: {name} is missing.",
                        file=Name(file),
                        name=Name(name),
                    ),
                    _ANOTHER,
                )
            for name, about in files.items():
                data = _checked(archive, name, about, file)
                target = folder.joinpath(*PurePosixPath(name).parts)
                target.parent.mkdir(parents=True, exist_ok=True)
                target.touch(0o600, exist_ok=False)
                with target.open("wb") as out:
                    out.write(data)
                    out.flush()
                    os.fsync(out.fileno())
            if ERASED in files:
                parse_erased((folder / ERASED).read_bytes(), f"{ERASED} in {file}")
            return len(files)
    except (BadZipFile, NotImplementedError, RuntimeError, EOFError):
        raise SwaytrainerError(
            say("{file} is no whole backup: it is cut off.", file=Name(file)), _ANOTHER
        ) from None


def _require_zip(file: Path) -> None:
    """Refuse what never was a backup: of that nothing is cut off.

    Raises:
        SwaytrainerError: what it is instead.
    """
    try:
        with file.open("rb") as opened:
            head = opened.read(len(_ZIP))
    except FileNotFoundError:
        raise SwaytrainerError(
            say("There is no file {file}.", file=Name(file)), say("Look at its name.")
        ) from None
    except OSError as error:
        raise SwaytrainerError(
            say("Can't read {path}: {why}.", path=Name(file), why=Name(error.strerror)),
            _A_BACKUP,
        ) from None
    if head != _ZIP[: len(head)]:
        raise SwaytrainerError(
            say("{file} is no backup of swaytrainer.", file=Name(file)), _A_BACKUP
        )


def _manifest(archive: ZipFile, file: Path) -> dict[str, Any]:
    try:
        manifest = json.loads(archive.read(_MANIFEST))
        number, files = manifest["format"], manifest["files"]
        if not isinstance(number, int) or not isinstance(files, dict):
            raise TypeError
    except (KeyError, ValueError, TypeError, BadZipFile, zlib.error, RecursionError):
        raise SwaytrainerError(
            say("{file} is no backup of swaytrainer, or its list is damaged.", file=Name(file)),
            _ANOTHER,
        ) from None
    if number > _FORMAT:
        raise SwaytrainerError(
            say("{file} was made by a newer swaytrainer.", file=Name(file)),
            say("Update swaytrainer to read it."),
        )
    for name in files:
        parts = name.split("/")
        if any(p in ("", ".", "..") or "\\" in p or ":" in p or "\0" in p for p in parts):
            raise SwaytrainerError(
                say(
                    "{file} holds a file {name!r} outside its folder.",
                    file=Name(file),
                    name=Name(name),
                ),
                _ANOTHER,
            )
    return files


def _checked(archive: ZipFile, name: str, about: object, file: Path) -> bytes:
    try:
        if not isinstance(about, dict):
            raise ValueError
        size = int(about["size"])
        with archive.open(name) as packed:
            data = packed.read(size + 1) if size >= 0 else b""
        right = len(data) == size and hashlib.sha256(data).hexdigest() == about["sha256"]
    except (BadZipFile, zlib.error, EOFError, KeyError, ValueError, TypeError):
        right = False
    if not right:
        raise SwaytrainerError(
            say("{file} is damaged: {name} is not as it was.", file=Name(file), name=Name(name)),
            _ANOTHER,
        )
    return data


def _put_in_place(beside: Path, folder: Path) -> None:
    """The data folder is there whole or not at all."""
    if not folder.exists():
        beside.rename(folder)
        return
    old = beside.with_name(beside.name + "-old")
    folder.rename(old)
    beside.rename(folder)
    shutil.rmtree(old, ignore_errors=True)
