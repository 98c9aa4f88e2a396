"""One-line mutants: small wrong turns that a hand could take, made on the syntax tree."""

from __future__ import annotations

import ast
import random
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

TINY = 1e-5
"""Numbers below this are guards against rounding: another small number is as good."""
FLIPS: dict[type[ast.cmpop], tuple[str, ...]] = {
    ast.Lt: ("<=", ">"),
    ast.LtE: ("<", ">="),
    ast.Gt: (">=", "<"),
    ast.GtE: (">", "<="),
    ast.Eq: ("!=",),
    ast.NotEq: ("==",),
    ast.Is: ("is not",),
    ast.IsNot: ("is",),
    ast.In: ("not in",),
    ast.NotIn: ("in",),
}
ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
}
_PAIRS = (
    ("min", "max"),
    ("minimum", "maximum"),
    ("argmin", "argmax"),
    ("any", "all"),
    ("floor", "ceil"),
    ("sin", "cos"),
    ("WIDTH", "LENGTH"),
    ("width_mm", "length_mm"),
    ("low", "high"),
    ("low_mm", "high_mm"),
)
SWAPPED_NAMES = {a: b for pair in _PAIRS for a, b in (pair, pair[::-1])}
EVEN_HANDED = {"min", "max", "minimum", "maximum", "hypot", "dist", "gcd", "isclose", "allclose"}
"""What gives the same whichever value comes first."""
QUIET_KEYWORDS = {"strict", "frozen", "eq", "slots", "copy", "key"}
"""Keywords whose value guards or names and computes nothing."""


@dataclass(frozen=True, order=True)
class Mutant:
    """One change to one line."""

    path: str
    """Below the project, with slashes."""
    lineno: int
    before: str
    """The line as it is, without its indentation."""
    after: str
    column: int

    def applied(self, source: str) -> str:
        """The module's text with this change."""
        lines = source.split("\n")
        line = lines[self.lineno - 1]
        indent = line[: len(line) - len(line.lstrip())]
        lines[self.lineno - 1] = indent + self.after
        return "\n".join(lines)

    def __str__(self) -> str:
        return f"{self.path}:{self.lineno}\n    - {self.before}\n    + {self.after}"


def mutants_of(path: str, source: str) -> list[Mutant]:
    """Every one-line mutant of a module, in the order of its lines."""
    lines = source.split("\n")
    found: dict[tuple[int, str], Mutant] = {}
    for node, replacement in _Walker().changes(ast.parse(source)):
        line = lines[node.lineno - 1]
        if node.end_lineno != node.lineno or not line.isascii():
            continue
        before = line.strip()
        after = (line[: node.col_offset] + replacement + line[node.end_col_offset :]).strip()
        if after != before:
            mutant = Mutant(path, node.lineno, before, after, node.col_offset)
            found.setdefault((node.lineno, after), mutant)
    return sorted(found.values())


PICTURES = ("fitcheck/learn/how_to.py",)
"""Strokes of small pictures for the eye: no number that anyone is told comes from them, and the
only thing to ask of them, that nothing covers another, is asked of the whole drawing."""


def mutants_below(root: Path, folders: tuple[str, ...], only: tuple[str, ...] = ()) -> list[Mutant]:
    """The mutants of all modules in some folders of a tree, or of the named modules alone."""
    found: list[Mutant] = []
    for folder in folders:
        for file in sorted((root / folder).glob("*.py")):
            path = file.relative_to(root).as_posix()
            if path not in PICTURES and (not only or path.endswith(only)):
                found += mutants_of(path, file.read_text(encoding="utf-8"))
    return found


def sample(mutants: list[Mutant], count: int, seed: int) -> list[Mutant]:
    """Some of them by chance, never two on one line: the same for the same seed and sources."""
    shuffled = sorted(mutants)
    random.Random(seed).shuffle(shuffled)
    lines: dict[tuple[str, int], Mutant] = {}
    for mutant in shuffled:
        lines.setdefault((mutant.path, mutant.lineno), mutant)
    return list(lines.values())[:count]


class _Walker:
    """Goes through what is computed; leaves types, texts, decorators and messages alone.

    Nor is a text moved about on a drawing: all there is to ask of its place is that it covers
    nothing, which is asked of whole drawings.
    """

    def changes(self, node: ast.AST) -> Iterator[tuple[ast.expr | ast.stmt, str]]:
        if isinstance(node, ast.expr | ast.stmt):
            for replacement in _replacements(node):
                yield node, replacement
        for child in self._inside(node):
            yield from self.changes(child)

    def _inside(self, node: ast.AST) -> Iterator[ast.AST]:
        skip: tuple[str, ...] = ()
        match node:
            case ast.JoinedStr() | ast.Raise() | ast.Import() | ast.ImportFrom() | ast.Assert():
                return
            case ast.pattern():
                return
            case ast.FunctionDef():
                skip = ("decorator_list", "returns")
            case ast.ClassDef():
                skip = ("decorator_list", "bases", "keywords")
            case ast.arg() | ast.AnnAssign():
                skip = ("annotation",)
            case ast.keyword() if node.arg in QUIET_KEYWORDS:
                return
            case ast.Call(func=ast.Name(id="Label" | "paragraph"), args=[text, _, *others]):
                yield from (text, *others, *node.keywords)
                return
        for name, value in ast.iter_fields(node):
            if name not in skip:
                many = value if isinstance(value, list) else [value]
                yield from (child for child in many if isinstance(child, ast.AST))


def _replacements(node: ast.expr | ast.stmt) -> list[str]:  # noqa: PLR0911
    match node:
        case ast.Compare(left=left, ops=[op], comparators=[right]):
            return [f"({_text(left)} {other} {_text(right)})" for other in FLIPS[type(op)]]
        case ast.Constant(value=value):
            return _numbers(value)
        case ast.BinOp(left=left, op=op, right=right) if type(op) in ARITHMETIC:
            return [f"({ast.unparse(ast.BinOp(left, ARITHMETIC[type(op)](), right))})"]
        case ast.UnaryOp(op=ast.USub() | ast.Not(), operand=operand):
            return [f"({_text(operand)})"]
        case ast.BoolOp(op=op, values=values):
            return [
                f"({(' or ' if isinstance(op, ast.And) else ' and ').join(map(_text, values))})"
            ]
        case ast.Attribute(value=value, attr=attr) if attr in SWAPPED_NAMES:
            return [f"{_text(value)}.{SWAPPED_NAMES[attr]}"]
        case ast.Name(id="min" | "max" | "any" | "all" as name):
            return [SWAPPED_NAMES[name]]
        case ast.Call(func=func, args=[first, second], keywords=[]) if (
            _alike(first, second) and ast.unparse(func).split(".")[-1] not in EVEN_HANDED
        ):
            return [f"{_text(func)}({_text(second)}, {_text(first)})"]
        case ast.IfExp(test=test, body=body, orelse=other):
            return [f"({_text(other)} if {_text(test)} else {_text(body)})"]
        case ast.Expr(value=ast.Call()) | ast.AugAssign() | ast.Raise():
            return ["pass"]
        case ast.Continue() | ast.Break():
            return ["pass"]
    return []


def _alike(first: ast.expr, second: ast.expr) -> bool:
    """Two values that a hand could mix up: not a list and a number, which would fail at once."""
    return type(first) is type(second) and not isinstance(first, ast.Starred | ast.Lambda)


def _numbers(value: object) -> list[str]:
    match value:
        case bool():
            return [str(not value)]
        case int():
            return [str(value + 1), str(value - 1)]
        case float() if value == 0.0:
            return ["1.0"]
        case float() if abs(value) >= TINY:
            return [repr(value * 1.25), repr(value * 0.5)]
    return []


def _text(node: ast.expr) -> str:
    text = ast.unparse(node)
    plain = isinstance(node, ast.Name | ast.Constant | ast.Attribute | ast.Call | ast.Subscript)
    return text if plain else f"({text})"
