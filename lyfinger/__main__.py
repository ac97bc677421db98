"""``python -m lyfinger``."""

import sys

from .cli.main import run

if __name__ == "__main__":
    sys.exit(run())
