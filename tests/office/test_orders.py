"""Each button's order is one that the program knows."""

from pathlib import Path

import pytest

from swaytrainer.cli import parsed
from swaytrainer.office import orders
from swaytrainer.office.orders import Order, command_line

CUP = Path("cup.toml")
ORDERS = {
    "scope": orders.SCOPE,
    "squad": orders.SQUAD,
    "index": orders.INDEX,
    "squad's progress": orders.PROGRESS,
    "gym": orders.gym(True, True, True),
    "evening": orders.in_evening("away", "Wren"),
    "progress": orders.progress_of("Wren"),
    "what comes next": orders.next_of("Wren"),
    "coach's word": orders.coach_word("Wren", "millpond-dusk", "--steady enough"),
    "squad's table": orders.table(Path("s.csv")),
    "trial for others": orders.trial_for_others(Path("-a.sway"), "c3d", Path("-a.c3d"), 2),
    "report": orders.report("Wren", Path("w.pdf"), "Well done."),
    "sheet": orders.report(None, Path("s.html")),
    "contest": orders.contest(CUP),
    "trials": orders.contest(CUP, "--trials"),
    "begin": orders.contest(CUP, "begin"),
    "withdrawn": orders.ruling(CUP, "--ill", "withdrawn", "-Wren"),
    "repeat": orders.ruling(CUP, "a cable", "repeat", "a.sway", "1"),
    "stand-off": orders.stand_off(CUP, ("-Wren", "Tarn")),
    "results": orders.contest(CUP, "--pdf", "r.pdf"),
    "contest's gym": orders.contest_gym(CUP, True),
    "scoreboard": orders.scoreboard(CUP),
    "replay": orders.replay(Path("a.sway")),
    "backup": orders.backup(Path("b.zip")),
    "restore": orders.restore(Path("b.zip")),
    "hand out": orders.hand_out("Wren", Path("w.zip")),
    "erase": orders.erase("Wren"),
}


@pytest.mark.parametrize("name", ORDERS)
def test_the_program_takes_the_order(name: str) -> None:
    order = ORDERS[name]
    line = command_line(Path("/data of the club"), order)
    assert line[:2] == ["-m", "swaytrainer.by_icon" if order.stays else "swaytrainer"]
    options = parsed(line[2:])
    assert options.home == Path("/data of the club")


def test_a_name_that_looks_like_an_option_is_no_option() -> None:
    for order in (orders.in_evening("away", "-Wren"), orders.erase("--yes")):
        assert parsed(command_line(Path("/h"), order)[2:]).name in ("-Wren", "--yes")


def test_what_was_not_said_is_not_ordered() -> None:
    assert orders.gym() == Order((), True)
    assert "--sentence" not in orders.report("Wren", Path("w.pdf")).arguments
