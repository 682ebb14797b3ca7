"""Words and paths are taken as typed, without the library that typer would load to check them.

That library takes longer to load than many a command runs. Whatever is not plainly a value of its kind (a number that
is none, a path that has to exist) still goes typer's own way, with typer's own refusals.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, get_args, get_origin

from typer.core import TyperCommand, TyperGroup

_KINDS = (str, Path, int, float, bool)
# What typer may be asked to check; then it does.
_CHECKS = ("exists", "resolve_path", "allow_dash", "path_type", "parser", "min", "max")


class PlainCommand(TyperCommand):
    """A command whose words and paths need no checking."""

    def get_params(self, ctx: Any) -> list[Any]:
        """The parameters, eased."""
        return [_eased(parameter) for parameter in super().get_params(ctx)]


class PlainGroup(TyperGroup):
    """The front of the commands, its own options eased too."""

    def get_params(self, ctx: Any) -> list[Any]:
        """The parameters, eased."""
        return [_eased(parameter) for parameter in super().get_params(ctx)]


class _Plain:
    """Turns what was typed into values of one kind; what it cannot, it hands to typer."""

    def __init__(self, kind: type[Any], several: bool, own: Any) -> None:
        self._kind, self._several, self._own = kind, several, own

    def coerce(self, value: Any, param: Any, ctx: Any) -> Any:
        """The value of a parameter, the same as by typer's own coercion."""
        several = param.multiple or param.nargs == -1
        if value is None:
            return () if several else None
        try:
            if several == self._several:
                return [self._one(item) for item in value] if several else self._one(value)
        except (TypeError, ValueError):
            pass  # typer finds the words for it
        return self._own().coerce(value, param=param, ctx=ctx)

    def _one(self, item: object) -> Any:
        if type(item) is self._kind:
            return item
        if not isinstance(item, str) or self._kind is bool or (self._kind is not Path and not item.isascii()):
            raise TypeError
        return self._kind(item)


def _eased(parameter: Any) -> Any:
    descriptor = getattr(parameter, "type_descriptor", None)
    own = getattr(parameter, "get_runtime_param", None)
    if descriptor is None or own is None or "get_runtime_param" in vars(parameter):
        return parameter  # another typer, which goes its own way; or eased already
    kind = descriptor.annotation
    several = get_origin(kind) is list
    one = get_args(kind)[0] if several else kind
    if one in _KINDS and not any(getattr(descriptor.parameter_info, check, None) for check in _CHECKS):
        plain = _Plain(one, several, own)
        vars(parameter)["get_runtime_param"] = lambda: plain
    return parameter
