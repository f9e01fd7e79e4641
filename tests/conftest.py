"""No test is timed: what a property test tries may take as long as it needs. On a build machine it tries
the same each time.
"""

import os

from hypothesis import settings

settings.register_profile("labelgen", deadline=None, derandomize=bool(os.environ.get("CI")))
settings.load_profile("labelgen")
