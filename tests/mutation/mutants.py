"""The changes that the mutation check makes: one sign, constant or operator of a module at a time.

Operators turn into their opposites, comparisons are negated, min and max, sin and cos change places. A whole
number becomes the next one, a float its double (0 becomes 1): adding one, which the usual libraries do, would
be nothing beside 8000 and absurd beside 1e-9; a double is the slip that people make, a radius for a diameter.
"""

from __future__ import annotations

import ast
import copy
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

OPERATORS: dict[type[ast.AST], type[ast.AST]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult,
    ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult, ast.And: ast.Or, ast.Or: ast.And,
    ast.Lt: ast.GtE, ast.GtE: ast.Lt, ast.Gt: ast.LtE, ast.LtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
TWINS = {"min": "max", "max": "min", "minimum": "maximum", "maximum": "minimum", "sin": "cos", "cos": "sin"}


@dataclass(frozen=True)
class Mutant:
    """One change of one module: where, in words, and the module's whole text with it.

    `statement` holds the lines of the outermost statement around it, decorators included. `function` is the
    outermost function whose body it is in, `f` or `Record.f`; "" for what runs when the module is loaded.
    """

    file: str
    line: int
    column: int
    statement: range
    function: str
    change: str
    source: str
    text: str

    @property
    def key(self) -> str:
        """The change as survivors.toml names it, whatever the number of its line."""
        return f"{self.column}: {self.change}  |  {self.source}"

    def __str__(self) -> str:
        """Give the change in a line."""
        return f"{self.file}:{self.line}  {self.key}"


def mutants_of(root: Path, file: str) -> list[Mutant]:
    """Every change of one module of a project, in the order of its lines."""
    source = (root / file).read_text(encoding="utf-8")
    lines, tree = source.splitlines(), ast.parse(source)
    found = []
    for statement in tree.body:
        first = min(node.lineno for node in (statement, *getattr(statement, "decorator_list", [])))
        span = range(first, (statement.end_lineno or first) + 1)
        bodies = {inner: name for name, body in _functions(statement) for inner in ast.walk(body)}
        for node in ast.walk(statement):
            for mended in _changed(node):
                line, column = node.lineno, node.col_offset  # type: ignore[attr-defined] # expressions have both
                change = f"{ast.unparse(node)} -> {ast.unparse(mended)}"
                function, source, text = (
                    bodies.get(node, ""),
                    lines[line - 1].strip(),
                    _text_with(tree, node, mended),
                )
                found.append(Mutant(file, line, column, span, function, change, source, text))
    return sorted(found, key=lambda mutant: (mutant.line, mutant.column))


def _functions(statement: ast.stmt) -> Iterator[tuple[str, ast.stmt]]:
    """Give the statements in the bodies of a function or of a class's methods, with the function's name."""
    if isinstance(statement, ast.FunctionDef):
        yield from ((statement.name, inner) for inner in statement.body)
    elif isinstance(statement, ast.ClassDef):
        for method in statement.body:
            yield from ((f"{statement.name}.{name}", inner) for name, inner in _functions(method))


def _text_with(tree: ast.Module, node: ast.AST, mended: ast.AST) -> str:
    """Give the module's text with one node changed, and leave the tree as it was."""
    before = copy.copy(node)
    node.__dict__.update(mended.__dict__)
    text = ast.unparse(tree)
    node.__dict__.update(before.__dict__)
    return text


def _changed(node: ast.AST) -> Iterator[ast.AST]:
    """Give a node's changed copies; a shallow copy shares all parts that stay."""
    if isinstance(node, ast.BinOp | ast.BoolOp | ast.AugAssign):
        if type(node.op) in OPERATORS and not _joins_words(node):
            yield _with(node, op=OPERATORS[type(node.op)]())
    elif isinstance(node, ast.Compare):
        for place, op in enumerate(node.ops):
            ops = [*node.ops[:place], OPERATORS[type(op)](), *node.ops[place + 1 :]]
            yield _with(node, ops=ops)
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        yield _with(node, op=ast.UAdd())
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
        yield _with(node, operand=ast.UnaryOp(ast.Not(), node.operand))
    elif isinstance(node, ast.Constant) and type(node.value) in (int, float):
        yield _with(node, value=_other(node.value))  # type: ignore[arg-type] # a number, as just asked
    elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in TWINS:
        yield _with(node, func=_with(node.func, id=TWINS[node.func.id]))
    elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in TWINS:
        yield _with(node, func=_with(node.func, attr=TWINS[node.func.attr]))


def _with(node: ast.AST, **fields: object) -> ast.AST:
    mended = copy.copy(node)
    mended.__dict__.update(fields)
    return mended


def _other(value: int | float) -> int | float:
    if isinstance(value, int):
        return value + 1
    return 2.0 * value if value else 1.0


def _joins_words(node: ast.BinOp | ast.BoolOp | ast.AugAssign) -> bool:
    """Whether an operator joins words, tuples or lists, not numbers."""
    if isinstance(node, ast.BoolOp):
        return any(_is_words(value) for value in node.values)
    return _is_words(node.left if isinstance(node, ast.BinOp) else node.target) or _is_words(
        node.right if isinstance(node, ast.BinOp) else node.value
    )


def _is_words(node: ast.AST) -> bool:
    joined = isinstance(node, ast.JoinedStr | ast.Tuple | ast.List)
    return joined or (isinstance(node, ast.Constant) and isinstance(node.value, str))
