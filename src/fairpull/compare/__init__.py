"""How a difference between builds is judged."""

from fairpull.compare.comparison import compare
from fairpull.compare.prior import DEFAULT_PRIOR, NoisePrior

__all__ = ["DEFAULT_PRIOR", "NoisePrior", "compare"]
