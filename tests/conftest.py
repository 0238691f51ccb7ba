"""What all tests share."""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

# A busy machine is no fault of the code: speed is measured in benchmarks/, not here. What CI runs
# is the same every time.
_PATIENT = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("bench", _PATIENT)
settings.register_profile("ci", _PATIENT, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "bench")
