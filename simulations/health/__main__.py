"""``python -m simulations.health``."""

from __future__ import annotations

import sys

from simulations.health.measure import main

sys.exit(main())
