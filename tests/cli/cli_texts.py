"""Every text of the command line that goes through its translation, found in the source."""

import ast
from collections.abc import Iterator
from pathlib import Path

from fabsched import cli

CLI = Path(cli.__file__).parent
HELPS = ("help", "description", "epilog")
ERRORS = ("UsageError", "ArgumentTypeError", "ArgumentError")
OF_ARGPARSE = (
    "usage: ",
    "options",
    "positional arguments",
    "show this help message and exit",
    "show program's version number and exit",
)
"""What Python's argparse says by itself."""
ERRORS_OF_ARGPARSE = (
    "argument {0}: {1}",
    "expected one argument",
    "expected at least one argument",
    "not allowed with argument {0}",
    "the following arguments are required: {0}",
    "ignored explicit argument {0}",
)


def texts() -> dict[str, str]:
    """Text to the file where it stands."""
    found: dict[str, str] = dict.fromkeys(OF_ARGPARSE, "argparse")
    for file in sorted(CLI.glob("*.py")):
        for text in _texts_in(ast.parse(file.read_text("utf-8"))):
            found.setdefault(text.removeprefix(">"), file.name)
    return {text: place for text, place in found.items() if any(map(str.isalpha, text))}


def _texts_in(tree: ast.Module) -> Iterator[str]:
    tuples = {
        node.targets[0].id: node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name)
    }
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        yield from _helps(node, tuples)
        match node:
            case ast.Call(func=ast.Name(id="print_table" | "GrowingTable"), args=[columns, *_]):
                named = tuples.get(columns.id) if isinstance(columns, ast.Name) else columns
                yield from _literals(named)
            case ast.Call(func=ast.Name(id="tr"), args=[text]):
                yield from _literals(text)
            case ast.Call(func=ast.Name(id="_verb"), args=[_, _, text]):
                yield from _literals(tuples.get(text.id) if isinstance(text, ast.Name) else text)


def _helps(node: ast.Call, named: dict[str, ast.expr]) -> Iterator[str]:
    for word in node.keywords:
        if word.arg in HELPS:
            of = named.get(word.value.id) if isinstance(word.value, ast.Name) else word.value
            yield from _literals(of)


def _literals(node: ast.expr | None) -> Iterator[str]:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.Tuple | ast.List):
        for member in node.elts:
            yield from _literals(member)


def templates() -> dict[str, str]:
    """Sentences about a call, with numbered gaps, to the file where they stand."""
    found = dict.fromkeys(ERRORS_OF_ARGPARSE, "argparse")
    for file in sorted(CLI.glob("*.py")):
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            match node:
                case ast.Call(func=ast.Name(id=name) | ast.Attribute(attr=name), args=[*_, text]):
                    if name in (*ERRORS, "error"):
                        found.update(dict.fromkeys(_template(text), file.name))
    return found


def _template(node: ast.expr) -> Iterator[str]:
    """A sentence with its gaps numbered."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.JoinedStr):
        gaps = iter(range(len(node.values)))
        yield "".join(
            str(part.value) if isinstance(part, ast.Constant) else f"{{{next(gaps)}}}"
            for part in node.values
        )
