"""Public functions say what they do, in which unit, where it comes from and what they refuse."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

SOURCE = Path(__file__).parents[2] / "src" / "gudgeon"
FORMULAS = ("formulas", "clamp", "timing")
COMPUTING = ("metrology", "fit", *FORMULAS)
Function = ast.FunctionDef | ast.AsyncFunctionDef


@dataclass(frozen=True)
class Public:
    """A function or method that other modules may call, and where it stands."""

    where: str
    node: Function

    @property
    def doc(self) -> str:
        return ast.get_docstring(self.node) or ""

    def quantities(self) -> Iterator[str]:
        """Names of the parameters that are numbers with a unit."""
        arguments = self.node.args
        for argument in (*arguments.posonlyargs, *arguments.args, *arguments.kwonlyargs):
            if argument.annotation is not None and re.search(
                r"\b(float|Measured|Size)\b", ast.unparse(argument.annotation)
            ):
                yield argument.arg

    def raises(self) -> set[str]:
        """Names of the errors that the function itself raises."""
        found = set()
        for node in ast.walk(self.node):
            if isinstance(node, ast.Raise) and node.exc is not None:
                error = node.exc.func if isinstance(node.exc, ast.Call) else node.exc
                if isinstance(error, ast.Name) and error.id[0].isupper():
                    found.add(error.id)
        return found


def public_functions(text: str, where: str) -> Iterator[Public]:
    """Functions and methods with a public name; not those nested in functions, nor overloads."""

    def walk(body: list[ast.stmt], path: str) -> Iterator[Public]:
        for node in body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                yield from walk(node.body, f"{path}.{node.name}")
            elif isinstance(node, Function) and not node.name.startswith("_"):
                marks = {ast.unparse(mark).rpartition(".")[2] for mark in node.decorator_list}
                if not marks & {"overload", "override"}:
                    yield Public(f"{path}.{node.name}", node)

    yield from walk(ast.parse(text).body, where)


def lacks(function: Public) -> list[str]:
    """What the docstring of any public function lacks."""
    return [] if function.doc else ["no docstring"]


def lacks_of_computing(function: Public) -> list[str]:
    """What the docstring of a function in a computing room lacks: the errors it raises, too."""
    missing = lacks(function)
    doc = function.doc
    return missing + [f"does not name {e}" for e in sorted(function.raises()) if e not in doc]


def lacks_of_formula(function: Public) -> list[str]:
    """What the docstring of a formula lacks: a unit for each quantity, a source, an example."""
    missing = lacks_of_computing(function)
    for name in function.quantities():
        if not re.search(rf"\b{name}\b[^\[\]>]*\[[^\]]+\]", function.doc):
            missing.append(f"no unit in square brackets for {name}")
    if not re.search(r"^\s*(Source|Sources|Reference|References)\b", function.doc, re.MULTILINE):
        missing.append("no line that begins with Source")
    if ">>>" not in function.doc:
        missing.append("no example that runs")
    return missing


def demands(path: Path) -> list[str]:
    """Every fault in one file, each with its place."""
    room = path.relative_to(SOURCE).parts[0]
    check = lacks
    if room in COMPUTING:
        check = lacks_of_formula if room in FORMULAS else lacks_of_computing
    where = path.relative_to(SOURCE.parent).with_suffix("").as_posix().replace("/", ".")
    functions = public_functions(path.read_text(encoding="utf-8"), where)
    return [f"{item.where}: {fault}" for item in functions for fault in check(item)]


@pytest.mark.parametrize(
    "path", sorted(SOURCE.rglob("*.py")), ids=lambda path: path.relative_to(SOURCE).as_posix()
)
def test_docstrings_keep_their_contract(path: Path) -> None:
    assert demands(path) == []


COMPLETE = '''
def gap(bore: float, piston: Measured, label: str) -> float:
    """The clearance between a bore [mm] and a piston [mm], under a label.

    Raises ValueError for a bore below zero.

    Source: geometry.

    >>> gap(2.0, 1.0, "x")
    1.0
    """
    if bore < 0:
        raise ValueError(bore)
    return bore - piston
'''


@pytest.mark.parametrize(
    ("cut", "faults"),
    [
        ("", []),
        ("a bore [mm]", ["no unit in square brackets for bore"]),
        ("a piston [mm]", ["no unit in square brackets for piston"]),
        ("Raises ValueError", ["does not name ValueError"]),
        ("Source:", ["no line that begins with Source"]),
        ('>>> gap(2.0, 1.0, "x")', ["no example that runs"]),
    ],
)
def test_what_is_cut_from_a_formula_is_missed(cut: str, faults: list[str]) -> None:
    (function,) = public_functions(COMPLETE.replace(cut, "") if cut else COMPLETE, "here")
    assert lacks_of_formula(function) == faults


def test_a_function_without_docstring_is_found_in_a_class_and_a_private_one_is_not() -> None:
    text = "class Bench:\n    def read(self): ...\n    def _peek(self): ...\ndef _own(): ...\n"
    assert [(f.where, lacks(f)) for f in public_functions(text, "here")] == [
        ("here.Bench.read", ["no docstring"])
    ]
