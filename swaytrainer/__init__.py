"""Balance-board training for vaulters: from four load cells to a mark, and back from the record."""

from typing import Final

__version__: Final = "0.1.0"
