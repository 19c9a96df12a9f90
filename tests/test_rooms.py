"""Which room may import which, and what must not be loaded for a quick command."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "swaytrainer"

#: Room → the rooms it may import, from the table in DEVELOPERS.md.
MAY_IMPORT = {
    "errors": {"words"},
    "toml_text": {"errors", "words"},
    "words": set(),
    "sway": {"errors"},
    "motion": {"errors", "sway"},
    "board": {"errors", "toml_text", "words", "sway"},
    "training": {"errors", "toml_text", "words", "sway", "motion"},
    "progress": {"errors", "words", "sway", "training"},
    "squad": {"errors", "toml_text", "words", "training"},
    "sitting": {"errors", "words", "sway", "motion", "board", "training"},
    "store": {"errors", "toml_text", "words", "sway", "board", "training", "squad", "sitting"},
    "exchange": {"errors", "words", "sway", "store"},
    "report": {"errors", "words", "sway", "training", "progress"},
    "index": {"errors", "toml_text", "words", "training", "store"},
    "simulate": {"errors", "sway", "board"},
    "players": {"errors", "sway", "board", "training", "simulate"},
    "games": {"errors", "words", "sway", "board", "training", "sitting"},
    "sound": {"errors", "words", "training", "sitting"},
    "scope": {
        "errors",
        "toml_text",
        "words",
        "sway",
        "motion",
        "board",
        "training",
        "sitting",
        "store",
        "simulate",
        "players",
    },
    "office": {"errors", "words", "training", "squad", "store"},
    "app": {
        "errors",
        "toml_text",
        "words",
        "sway",
        "motion",
        "board",
        "training",
        "progress",
        "squad",
        "sitting",
        "store",
        "index",
        "exchange",
        "report",
        "simulate",
        "games",
        "sound",
        "scope",
        "office",
    },
    "cli": {"errors", "words", "app"},
    "by_icon": {"cli", "app", "store"},
    "on_call": {"cli", "app", "store"},
    "__main__": {"cli"},
}
#: Heavy library → the only modules that may import it.
ONLY_IN = {
    "pygame": ("games/", "sound/device.py", "app/"),
    "serial": ("board/link.py",),
    "tomlkit": (
        "store/vaulters_file.py",
        "store/feet_file.py",
        "store/coach_file.py",
        "store/contest_edit.py",
        "store/plan_edit.py",
        "store/toml_tables.py",
        "scope/draft.py",
        "app/person_traces.py",
    ),
    "platformdirs": ("store/home.py",),
    "PySide6": ("scope/", "app/scope.py", "office/", "app/office.py"),
    "pyqtgraph": ("scope/", "app/scope.py"),
}
PURE = ("sway/", "motion/", "board/pair.py", "board/calibration_file.py",
        "board/wire.py", "board/clock.py", "board/calibration.py", "board/tare.py",
        "board/guided.py", "board/fit.py", "board/steady.py", "board/gravity.py",
        "board/acceptance.py", "board/findings.py", "board/wiring.py", "board/judging.py",
        "board/arrivals.py", "board/ear.py", "training/", "progress/", "squad/",
        "sitting/")  # fmt: skip
IMPURE = {"time", "datetime.now", "random", "socket", "threading", "os", "pathlib", "subprocess"}


def imports(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
    return found


MODULES = sorted(p for p in PACKAGE.rglob("*.py") if p.name != "__init__.py")


def room_of(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_imports_point_one_way(path: Path) -> None:
    room = room_of(path)
    for name in imports(path):
        parts = name.split(".")
        if parts[0] == "swaytrainer" and parts[1] != "__version__":
            assert parts[1] == room or parts[1] in MAY_IMPORT[room], f"{path} imports {name}"
        if parts[0] in ONLY_IN:
            inside = str(path.relative_to(PACKAGE))
            assert inside.startswith(ONLY_IN[parts[0]]), f"{path} imports {name}"


@pytest.mark.parametrize(
    "path",
    [p for p in MODULES if str(p.relative_to(PACKAGE)).startswith(PURE)],
    ids=lambda p: str(p.relative_to(PACKAGE)),
)
def test_pure_rooms_do_no_io(path: Path) -> None:
    assert not {name.split(".")[0] for name in imports(path)} & IMPURE
    calls = {
        node.func.id
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }
    assert not calls & {"open", "print", "input"}


def test_every_room_is_in_the_table() -> None:
    assert {room_of(path) for path in MODULES} <= set(MAY_IMPORT)


def loaded_by(code: str) -> set[str]:
    done = subprocess.run(
        [sys.executable, "-c", f"{code}\nimport sys; print(*sys.modules)"],
        capture_output=True,
        text=True,
        check=True,
    )
    return set(done.stdout.splitlines()[-1].split())


def test_help_loads_nothing_heavy() -> None:
    loaded = loaded_by(
        "from swaytrainer.cli import main\ntry:\n    main(['--help'])\nexcept SystemExit: pass"
    )
    assert not loaded & {
        "numpy",
        "scipy",
        "pygame",
        "serial",
        "tomlkit",
        "platformdirs",
        "sqlalchemy",
        "alembic",
    }


def test_analyse_loads_neither_games_nor_slow_parts_of_scipy(tmp_path: Path) -> None:
    table = tmp_path / "t.csv"
    rows = "".join(f"{n / 100},{100 + n % 7},101,102,{103 + n % 5}\n" for n in range(3000))
    table.write_text("time_s,front_left_n,front_right_n,rear_left_n,rear_right_n\n" + rows)
    loaded = loaded_by(
        "from swaytrainer.cli import main\n"
        f"where = [{str(table)!r}, '--half-width', '200', '--half-depth', '150']\n"
        "assert main(['analyse', *where]) == 0"
    )
    assert not {name.split(".")[0] for name in loaded} & {"pygame", "serial", "PySide6"}
    assert not loaded & {"scipy.signal", "scipy.stats"}
