"""What differs between two builds and their days besides the change under test."""

from fairpull.compare.ledger.make import make_ledger

__all__ = ["make_ledger"]
