"""How a difference between builds is judged."""

from fairpull.compare.comparison import compare
from fairpull.compare.glance import Glance, glance
from fairpull.compare.prior import DEFAULT_PRIOR, NoisePrior

__all__ = ["DEFAULT_PRIOR", "Glance", "NoisePrior", "compare", "glance"]
