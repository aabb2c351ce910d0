"""How random tests run: the same every time by default, at length and at random with -m long."""

import os

from hypothesis import settings

settings.register_profile("default", deadline=None, derandomize=True)
settings.register_profile("long", deadline=None, max_examples=1000, print_blob=True)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "default"))
