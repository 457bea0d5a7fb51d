"""What holds for every test: a slow machine is no failure."""

from __future__ import annotations

from hypothesis import settings

# how long one example takes is no test's business: timings stand in the benchmarks
settings.register_profile("tagtrack", deadline=None)
settings.load_profile("tagtrack")
