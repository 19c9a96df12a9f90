"""Loads the scripts of hardware/, which are no package: their names are their files' names."""

import importlib
import sys
from pathlib import Path
from types import ModuleType

HARDWARE = Path(__file__).parents[2] / "hardware"


def script(name: str) -> ModuleType:
    """The script's module, with its siblings importable while it loads."""
    sys.path.insert(0, str(HARDWARE))
    try:
        return importlib.import_module(name)
    finally:
        sys.path.remove(str(HARDWARE))
