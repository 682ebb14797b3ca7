"""Spark and mixture loops, the next point to run, and when a new engine has settled."""

from fairpull.tune.mixture import mixture_loop
from fairpull.tune.running_in import running_in
from fairpull.tune.spark import spark_loop

__all__ = ["mixture_loop", "running_in", "spark_loop"]
