"""Everything here draws into memory."""

import os

os.environ["SDL_VIDEODRIVER"] = "dummy"
