"""Fair views: the same comparison on other common ground, the plain one beside it."""

from fairpull.compare.fairness.boosted import boost_facts
from fairpull.compare.fairness.looks import fair_looks

__all__ = ["boost_facts", "fair_looks"]
