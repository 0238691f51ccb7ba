"""What all tests share."""

from __future__ import annotations

import os

from hypothesis import settings

# A busy machine is no fault of the code: speed is measured in benchmarks/, not here. What CI runs
# is the same every time.
settings.register_profile("bench", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "bench")
