"""What the engine is for: a declared duty, and how builds score on it."""

from fairpull.compare.purpose.cycles import CYCLES, Cycle, CyclePoint, cycle_duty
from fairpull.compare.purpose.score import score, score_with_curves

__all__ = ["CYCLES", "Cycle", "CyclePoint", "cycle_duty", "score", "score_with_curves"]
