"""``python -m labelgen`` is the same as the ``labelgen`` command."""

import sys

from labelgen.cli import start

if __name__ == "__main__":
    sys.exit(start())
