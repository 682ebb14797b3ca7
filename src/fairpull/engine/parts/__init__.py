"""Data sheets of parts, by kind: every entry with its unit and range, and what follows from it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fairpull.engine.parts.base import PartForm

__all__ = ["forms"]


def forms() -> Mapping[str, type[PartForm]]:
    """The form of each kind of part.

    Returns:
        Kind -> form, in the order of ``PART_KINDS``.
    """
    from fairpull.engine.parts import boost, camshaft, fuelling, head, pipes, reciprocating, sundry
    from fairpull.terms.build import PART_KINDS

    families = (camshaft, head, pipes, fuelling, boost, reciprocating, sundry)
    known = {kind: form for family in families for kind, form in family.FORMS.items()}
    return {kind: known[kind] for kind in PART_KINDS}
