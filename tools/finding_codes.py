"""Which finding and refusal codes the source can give: read from the syntax trees, nothing is run.

A code is the first argument (or ``code=``) of ``Finding(...)`` and ``Fault(...)``. Where that argument is a
parameter of the enclosing function (or a word around one, ``f"unknown-{what}"``), the function is a helper
that hands a code on, and its calls are read instead.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "src" / "fairpull"
KINDS = {"Finding": "finding", "Fault": "refusal"}
Function = ast.FunctionDef | ast.AsyncFunctionDef


@dataclass
class Code:
    """One code: where it can come from, as finding, refusal or both, and how heavy."""

    name: str
    rooms: set[str] = field(default_factory=set)
    kinds: set[str] = field(default_factory=set)
    severities: set[str] = field(default_factory=set)


@dataclass(frozen=True)
class Maker:
    """A callable that makes findings or faults: which of its arguments is the code, which the severity."""

    name: str
    kind: str
    code: str = "code"
    code_at: int = 0
    severity: str = "severity"
    severity_at: int | None = 1
    fixed: str = ""  # the severity it always gives
    template: str = "{}"  # how the code is made of the argument
    only_in: Path | None = None  # a private helper counts in its own file only

    def made_by(self, call: ast.Call, path: Path) -> bool:
        """Is this call, in this file, a call of the maker?"""
        return _called(call) == self.name and self.only_in in (None, path)


@dataclass
class Survey:
    """What was read: codes by name, and places whose code no machine can read."""

    codes: dict[str, Code] = field(default_factory=dict)
    unread: list[str] = field(default_factory=list)

    def note(self, name: str, room: str, kind: str, severities: set[str]) -> None:
        """Count one place that gives a code."""
        code = self.codes.setdefault(name, Code(name))
        code.rooms.add(room)
        code.kinds.add(kind)
        code.severities |= severities


def survey(package: Path = PACKAGE) -> Survey:
    """Read every file of a package.

    Args:
        package: folder of the package.

    Returns:
        All codes found, and every place that could not be read, as "file:line".
    """
    trees = {path: ast.parse(path.read_text("utf-8")) for path in sorted(package.rglob("*.py"))}
    makers = {Maker(name, kind) for name, kind in KINDS.items()}
    while True:
        found = Survey()
        grown = set(makers)
        for path, tree in trees.items():
            for call, around in _calls(tree):
                for maker in makers:
                    if maker.made_by(call, path):
                        grown |= _read(found, call, around, maker, tree, path, package)
        if grown == makers:
            return found
        makers = grown


def _calls(tree: ast.AST, around: tuple[Function, ...] = ()) -> Iterator[tuple[ast.Call, tuple[Function, ...]]]:
    for child in ast.iter_child_nodes(tree):
        if isinstance(child, ast.Call):
            yield child, around
        deeper = (*around, child) if isinstance(child, Function) else around
        yield from _calls(child, deeper)


def _called(call: ast.Call) -> str:
    if isinstance(call.func, ast.Name):
        return call.func.id
    return call.func.attr if isinstance(call.func, ast.Attribute) else ""


def _argument(call: ast.Call, name: str, at: int | None) -> ast.expr | None:
    for keyword in call.keywords:
        if keyword.arg == name:
            return keyword.value
    return call.args[at] if at is not None and at < len(call.args) else None


def _read(
    found: Survey,
    call: ast.Call,
    around: tuple[Function, ...],
    maker: Maker,
    tree: ast.Module,
    path: Path,
    package: Path,
) -> set[Maker]:
    """Note the codes of one call; hand back the helpers it turned out to stand in."""
    place = f"{path.relative_to(package.parent)}:{call.lineno}"
    room = _room(path, package)
    argument = _argument(call, maker.code, maker.code_at)
    severities = {maker.fixed} if maker.fixed else _severities(_argument(call, maker.severity, maker.severity_at))
    if isinstance(argument, ast.Attribute) and argument.attr == "code":
        return set()  # a fault told once more, with its place made plainer
    if argument is None:
        if not call.args and all(keyword.arg is None for keyword in call.keywords):
            return set()  # nothing said, or one that was kept and is read back
        found.unread.append(place)
        return set()
    if (helper := _helper(argument, around, maker, severities)) is not None:
        return {replace(helper, only_in=path) if helper.name.startswith("_") else helper}
    names = _strings(argument, around, tree)
    if not names:
        found.unread.append(place)
    for name in names:
        found.note(maker.template.format(name), room, maker.kind, severities if maker.kind == "finding" else set())
    return set()


def _room(path: Path, package: Path) -> str:
    parts = path.relative_to(package).parts
    return parts[0] if len(parts) > 1 else "fairpull"


def _helper(argument: ast.expr, around: tuple[Function, ...], maker: Maker, fixed: set[str]) -> Maker | None:
    """The maker that the enclosing function is, when the code is one of its parameters."""
    name, template = _parameter(argument)
    for function in reversed(around):
        names = _parameters(function)
        if name in names:
            severity_at = names.index("severity") if "severity" in names else None
            only = next(iter(fixed)) if len(fixed) == 1 and severity_at is None else ""
            made = maker.template.format(template)
            at = names.index(name)
            return Maker(function.name, maker.kind, name, at, "severity", severity_at, only, made)
    return None


def _parameter(node: ast.expr) -> tuple[str, str]:
    """The one name that an argument is, and the words around it: ``f"unknown-{what}"`` is "unknown-{}"."""
    if isinstance(node, ast.Name):
        return node.id, "{}"
    if isinstance(node, ast.JoinedStr):
        template = "".join(str(part.value) if isinstance(part, ast.Constant) else "{}" for part in node.values)
        fields = [part.value for part in node.values if isinstance(part, ast.FormattedValue)]
        names = [field.id for field in fields if isinstance(field, ast.Name)]
        if len(names) == 1 == template.count("{}"):
            return names[0], template
    return "", "{}"


def _parameters(function: Function) -> list[str]:
    given = [*function.args.posonlyargs, *function.args.args, *function.args.kwonlyargs]
    return [parameter.arg for parameter in given if parameter.arg not in {"self", "cls"}]


def _severities(node: ast.expr | None) -> set[str]:
    if node is None:
        return set()
    return {part.attr.lower() for part in ast.walk(node) if isinstance(part, ast.Attribute) and part.attr.isupper()}


def _strings(node: ast.expr, around: tuple[Function, ...], tree: ast.Module) -> set[str]:
    """Every string an expression can stand for: a literal, either branch of a choice, a name's values."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return {node.value}
    if isinstance(node, ast.IfExp):
        return _strings(node.body, around, tree) | _strings(node.orelse, around, tree)
    if isinstance(node, ast.JoinedStr):
        name, template = _parameter(node)
        return {template.format(text) for text in _strings(ast.Name(name), around, tree)} if name else set()
    if isinstance(node, ast.Dict):
        return {text for value in node.values for text in _strings(value, around, tree)}
    if isinstance(node, ast.Subscript):  # a word looked up in a table of them
        return _strings(node.value, around, tree)
    if isinstance(node, ast.Name):
        for scope in (*reversed(around), tree):
            given = {text for value in _given(scope, node.id) for text in _strings(value, around, tree)}
            if given:
                return given
    return set()


def _given(scope: ast.AST, name: str) -> Iterator[ast.expr]:
    """Values that a scope assigns to a name, tuple assignments taken apart."""
    for part in ast.walk(scope):
        if isinstance(part, ast.Assign):
            for target in part.targets:
                yield from _matched(target, part.value, name)
        elif isinstance(part, ast.AnnAssign | ast.NamedExpr) and part.value is not None:
            yield from _matched(part.target, part.value, name)
        elif isinstance(part, ast.For) and isinstance(part.iter, ast.Tuple | ast.List):
            for row in part.iter.elts:
                yield from _matched(part.target, row, name)


def _matched(target: ast.expr, value: ast.expr, name: str) -> Iterator[ast.expr]:
    if isinstance(target, ast.Name) and target.id == name:
        if not (isinstance(value, ast.Name) and value.id == name):
            yield value
    elif isinstance(target, ast.Tuple) and isinstance(value, ast.Tuple) and len(target.elts) == len(value.elts):
        for one, other in zip(target.elts, value.elts, strict=True):
            yield from _matched(one, other, name)
    elif isinstance(target, ast.Tuple) and isinstance(value, ast.IfExp):
        yield from _matched(target, value.body, name)
        yield from _matched(target, value.orelse, name)
