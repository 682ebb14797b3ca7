"""``python -m fairpull``."""

from fairpull.cli.main import run

run()
