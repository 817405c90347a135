"""``python -m journal`` is the same program as the console command ``journal``."""

import sys

from journal.cli import main

if __name__ == "__main__":
    sys.exit(main())
