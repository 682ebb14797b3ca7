"""Seeded days on an engine brake that never was, to find out how often `fairpull.compare` is right.

Nothing here shares code with the room it judges: the days are made by generators of their own, and the room
is only called through its public door.
"""

from __future__ import annotations

import os

# Two processes of one thread each: small matrices gain nothing from threads, and threads of two processes
# fight.
for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")
