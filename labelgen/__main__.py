"""``python -m labelgen`` is the same as the ``labelgen`` command."""

import sys

from labelgen.cli import main

if __name__ == "__main__":
    sys.exit(main())
