"""``python -m swaytrainer``."""

import sys

from swaytrainer.cli import main

sys.exit(main())
