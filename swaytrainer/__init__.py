"""Balance-board training for vaulters: from four load cells to a mark, and back from the record."""

import os
from typing import Final

__version__: Final = "0.1.0"

# pygame greets on import; what a command prints is ours.
os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
