"""Looking for the board in the background, while the screen already shows."""

from __future__ import annotations

import threading
from collections.abc import Callable

from swaytrainer.board.link import Found, candidates, find_board
from swaytrainer.errors import SwaytrainerError

_AGAIN_AFTER_S = 1.0


def urls_to_try(port: str | None) -> list[str]:
    """The one given, or all serial ports of the machine."""
    return [port] if port else candidates()


def find_only_board(port: str | None, clock: Callable[[], float]) -> Found:
    """The one board there is: for what must not be done to the wrong one.

    All ports are asked at once; each has ``HELLO_WITHIN_S`` to answer.

    Raises:
        SwaytrainerError: no board answers, or more than one and no port was given.
    """
    urls = urls_to_try(port)
    if len(urls) < 2:
        return find_board(urls, clock)
    answers: list[Found | SwaytrainerError] = []

    def ask(url: str) -> None:
        try:
            answers.append(find_board([url], clock))
        except SwaytrainerError as error:
            answers.append(error)

    threads = [threading.Thread(target=ask, args=(url,), daemon=True) for url in urls]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    found = sorted((a for a in answers if isinstance(a, Found)), key=lambda f: f.url)
    if len(found) == 1:
        return found[0]
    for one in found:
        one.port.close()
    if not found:
        met = " ".join(sorted(a.what for a in answers if isinstance(a, SwaytrainerError)))
        raise SwaytrainerError(
            f"No board answered. {met}", "Plug the board in, wait three seconds, and try again."
        )
    boards = " and ".join(f"{f.hello.board_id} at {f.url}" for f in found)
    raise SwaytrainerError(
        f"{len(found)} boards answer: {boards}.",
        f"Say which one: swaytrainer --port {found[0].url} …, or unplug the others.",
    )


class BoardFinder:
    """Tries again and again in a thread until a board is found or it is closed.

    Attributes:
        found: the open board, once there is one.
        trouble: why there is none yet.
    """

    def __init__(self, port: str | None, clock: Callable[[], float]) -> None:
        self.found: Found | None = None
        self.trouble: SwaytrainerError | None = None
        self._port = port
        self._clock = clock
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="board finder", daemon=True)
        self._thread.start()

    def close(self) -> None:
        """Stop looking."""
        self._stop.set()
        self._thread.join(timeout=5.0)
        if self.found is not None:
            self.found.port.close()

    def take(self) -> Found | None:
        """The open board, once there is one: it is the caller's from then on."""
        found, self.found = self.found, None
        return found

    def _run(self) -> None:
        while not self._stop.is_set():
            try:
                self.found = find_board(
                    urls_to_try(self._port), self._clock, stopped=self._stop.is_set
                )
                return
            except SwaytrainerError as error:
                self.trouble = error
            self._stop.wait(_AGAIN_AFTER_S)
