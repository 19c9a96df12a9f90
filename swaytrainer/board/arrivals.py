"""What can come from a link: bytes, silence, or its end."""

from __future__ import annotations

from typing import NamedTuple


class Received(NamedTuple):
    """Bytes from the board, in any pieces, with the host time (s) of their arrival."""

    host_s: float
    data: bytes


class Silence(NamedTuple):
    """Nothing has come for ``silent_s`` seconds."""

    host_s: float
    silent_s: float


class LinkBroken(NamedTuple):
    """The port failed (unplugged, bridge gone); what comes next begins in a new frame."""

    host_s: float
    why: str


Arrival = Received | Silence | LinkBroken
