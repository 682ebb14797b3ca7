"""Past work: what a book's own comparisons say about one kind of change."""

from fairpull.compare.past.effects import effect_of
from fairpull.compare.past.summary import summarise

__all__ = ["effect_of", "summarise"]
