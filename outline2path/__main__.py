"""`python -m outline2path`: the same as the command."""

import sys

from outline2path.cli.main import main

if __name__ == "__main__":
    sys.exit(main())
