"""The list of erased persons: salted hashes, no names, so that an old backup can't bring one back.

``erased.json`` in the data folder, and in each backup::

    [{"salt": "…", "hash": "…"}, …]

The hash is scrypt (RFC 7914) of the name, so that guessing names takes work; a pseudonym that
somebody knows can be tried, which is what the list is for.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable, Iterable
from functools import lru_cache
from pathlib import Path
from typing import Final, NamedTuple

from swaytrainer.errors import SwaytrainerError
from swaytrainer.training.vaulter import plain_name
from swaytrainer.words import Name, say

FILE: Final = "erased.json"


class Erased(NamedTuple):
    """One erased person."""

    salt: str
    hash: str


def read_erased(path: Path) -> list[Erased]:
    """The list in a file; empty where there is none.

    Raises:
        SwaytrainerError: the file can't be used. What it says must not be passed over.
    """
    try:
        return parse_erased(path.read_bytes(), str(path))
    except FileNotFoundError:
        return []
    except OSError as error:
        raise SwaytrainerError(
            say("Can't read {path}: {why}.", path=Name(path), why=Name(error.strerror)),
            say("Look at the file's rights."),
        ) from None


def parse_erased(data: bytes, name: str) -> list[Erased]:
    """The list from a file's bytes; ``name`` is for errors.

    Raises:
        SwaytrainerError: it is no such list.
    """
    try:
        entries = [Erased(entry["salt"], entry["hash"]) for entry in json.loads(data)]
        if not all(isinstance(text, str) for entry in entries for text in entry):
            raise TypeError
        for entry in entries:
            bytes.fromhex(entry.salt)
    except (ValueError, TypeError, KeyError, RecursionError):
        raise SwaytrainerError(
            say("{name} is no list of erased persons.", name=Name(name)),
            say("Take a copy of it from the newest backup."),
        ) from None
    return entries


def erased_bytes(entries: Iterable[Erased]) -> bytes:
    """The list as a file's bytes; each entry once."""
    rows = [entry._asdict() for entry in dict.fromkeys(entries)]
    return json.dumps(rows, indent=1).encode() + b"\n"


def with_name(entries: list[Erased], name: str) -> list[Erased]:
    """The list with this person on it."""
    salt = entries[-1].salt if entries else os.urandom(16).hex()
    return list(dict.fromkeys([*entries, Erased(salt, _hash(salt, plain_name(name)))]))


def on_list(entries: Iterable[Erased]) -> Callable[[str], bool]:
    """Whether a name is on the list."""
    held = frozenset(entries)
    salts = {entry.salt for entry in held}
    return lambda name: any(Erased(salt, _hash(salt, plain_name(name))) in held for salt in salts)


@lru_cache(maxsize=4096)
def _hash(salt: str, name: str) -> str:
    data = name.encode("utf-8", "surrogatepass")
    return hashlib.scrypt(data, salt=bytes.fromhex(salt), n=1 << 12, r=8, p=1, dklen=32).hex()
