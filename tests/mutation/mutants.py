"""Small faults for a source text: each is one edit that a test of the room should notice.

Comparisons at their edge, and/or, not, numbers by one, arithmetic, all/any, min/max, an order that is not made, a value
that is not returned, a step that is not taken. Annotations, docstrings and words for people are left as they are.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass

COMPARISONS = {
    ast.Lt: ("<", ("<=", ">")),
    ast.LtE: ("<=", ("<",)),
    ast.Gt: (">", (">=", "<")),
    ast.GtE: (">=", (">",)),
    ast.Eq: ("==", ("!=",)),
    ast.NotEq: ("!=", ("==",)),
    ast.In: ("in", ("not in",)),
    ast.NotIn: ("not in", ("in",)),
    ast.Is: ("is", ("is not",)),
    ast.IsNot: ("is not", ("is",)),
}
ARITHMETIC = {
    ast.Add: ("+", "-"),
    ast.Sub: ("-", "+"),
    ast.Mult: ("*", "//"),
    ast.Div: ("/", "*"),
    ast.FloorDiv: ("//", "*"),
    ast.Mod: ("%", "//"),
    ast.BitAnd: ("&", "|"),
    ast.BitOr: ("|", "&"),
}
CALLS = {
    "any": "all",
    "all": "any",
    "min": "max",
    "max": "min",
    "sorted": "list",
    "ceil": "floor",
    "floor": "ceil",
}


@dataclass(frozen=True)
class Mutant:
    """The source's characters from `start` to `end` become `text`."""

    start: int
    end: int
    text: str
    what: str
    line: int

    def applied(self, source: str) -> str:
        return source[: self.start] + self.text + source[self.end :]


def mutants(source: str) -> tuple[Mutant, ...]:
    """Every mutant of a module that still compiles, in the order of the text."""
    found = _Finder(source).found()
    return tuple(sorted((m for m in found if _compiles(m.applied(source))), key=lambda m: (m.start, m.text)))


def _compiles(source: str) -> bool:
    try:
        compile(source, "mutant", "exec")
    except SyntaxError:
        return False
    return True


class _Finder:
    def __init__(self, source: str) -> None:
        self.source = source
        self.lines = [0]
        for line in source.splitlines(keepends=True):
            self.lines.append(self.lines[-1] + len(line.encode()))
        self.bytes = source.encode()

    def found(self) -> Iterator[Mutant]:
        for node in _code(ast.parse(self.source)):
            yield from self.of(node)

    def of(self, node: ast.AST) -> Iterator[Mutant]:
        match node:
            case ast.Compare():
                for left, operator, right in zip(
                    [node.left, *node.comparators], node.ops, node.comparators, strict=False
                ):
                    written, others = COMPARISONS[type(operator)]
                    for other in others:
                        yield self._between(left, right, written, other)
            case ast.BoolOp():
                written, other = ("and", "or") if isinstance(node.op, ast.And) else ("or", "and")
                for left, right in zip(node.values, node.values[1:], strict=False):
                    yield self._between(left, right, written, other)
            case ast.BinOp() if type(node.op) in ARITHMETIC:
                yield self._between(node.left, node.right, *ARITHMETIC[type(node.op)])
            case ast.UnaryOp(op=ast.Not()):
                yield self._instead(node, f"bool({self._text(node.operand)})", "not left out")
            case ast.IfExp() | ast.If() | ast.While():
                yield self._instead(node.test, f"(not ({self._text(node.test)}))", "condition turned round")
            case ast.Constant(value=bool() as value):
                yield self._instead(node, str(not value), f"{value} turned round")
            case ast.Constant(value=int() as value):
                yield self._instead(node, str(value + 1), f"{value} + 1")
                yield self._instead(node, f"({value - 1})", f"{value} - 1")
            case ast.Call(func=ast.Name(id=name)) if name in CALLS:
                yield self._instead(node.func, CALLS[name], f"{name} is {CALLS[name]}")
            case ast.Return(value=ast.expr() as value) if not _is_nothing(value):
                yield self._instead(value, "None", "returns None")
            case ast.Expr(value=ast.Call()) | ast.AugAssign():
                yield self._instead(node, "pass", "step left out")
            case ast.Continue():
                yield self._instead(node, "break", "continue is break")

    def _between(self, left: ast.expr, right: ast.expr, written: str, other: str) -> Mutant:
        """The operator between two operands, which may stand in brackets of their own."""
        begin, end = self._span(left)[1], self._span(right)[0]
        gap = self.bytes[begin:end].decode()
        at = gap.index(written)
        start = len(self.bytes[:begin].decode()) + at
        return Mutant(start, start + len(written), other, f"{written} is {other}", self._line(left))

    def _instead(self, node: ast.AST, text: str, what: str) -> Mutant:
        begin, end = (len(self.bytes[:at].decode()) for at in self._span(node))
        return Mutant(begin, end, text, what, self._line(node))

    def _span(self, node: ast.AST) -> tuple[int, int]:
        begin = self.lines[node.lineno - 1] + node.col_offset  # type: ignore[attr-defined]
        return begin, self.lines[node.end_lineno - 1] + node.end_col_offset  # type: ignore[attr-defined]

    def _text(self, node: ast.AST) -> str:
        begin, end = self._span(node)
        return self.bytes[begin:end].decode()

    @staticmethod
    def _line(node: ast.AST) -> int:
        return int(node.lineno)  # type: ignore[attr-defined]


def _is_nothing(value: ast.expr) -> bool:
    """None or False, which no condition tells apart."""
    return isinstance(value, ast.Constant) and (value.value is None or value.value is False)


def _code(tree: ast.AST) -> Iterator[ast.AST]:
    """The nodes that run and decide something: no annotations, decorators or words for people."""
    yield tree
    for name, value in ast.iter_fields(tree):
        if name in ("annotation", "returns", "decorator_list", "type_params"):
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST) and not _changes_nothing(child):
                yield from _code(child)


def _changes_nothing(node: ast.AST) -> bool:
    """Words, and checks of what cannot be: `zip(…, strict=True)` over two that are always of one length."""
    is_strict = isinstance(node, ast.keyword) and node.arg == "strict"
    return is_strict or isinstance(node, ast.JoinedStr | ast.Raise | ast.Assert)
