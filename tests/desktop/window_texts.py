"""Every text of the window that goes through Qt's translation, found in the source."""

import ast
from collections.abc import Iterator
from pathlib import Path

from fabsched.desktop import actions
from fabsched.desktop.shop import form, names
from fabsched.files.shop_toml import KINDS
from fabsched.session.shop_help import meaning

DESKTOP = Path(actions.__file__).parent
CALLS = ("tr", "_tr")
LISTS = ("titles",)
"""Names of tuples whose members are translated one by one."""


def texts() -> dict[str, str]:
    """Text to the place where it stands."""
    found: dict[str, str] = {}
    for file in sorted(DESKTOP.rglob("*.py")):
        for line, text in _in_source(ast.parse(file.read_text("utf-8"))):
            found.setdefault(text, f"{file.relative_to(DESKTOP)}:{line}")
    found.update(dict.fromkeys(_in_tables(), "table"))
    return found


def _in_source(tree: ast.Module) -> Iterator[tuple[int, str]]:
    for node in ast.walk(tree):
        match node:
            case ast.Call(func=ast.Attribute(attr=name) | ast.Name(id=name), args=[first, *_]):
                if name in CALLS:
                    yield from _literals(first)
            case ast.Assign(targets=[ast.Name(id=name)], value=value) if name in LISTS:
                yield from _literals(value)


def _literals(node: ast.expr) -> Iterator[tuple[int, str]]:
    """Texts an expression may come to: keys of look-ups are none."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.lineno, node.value
    elif isinstance(node, ast.Tuple | ast.List):
        for member in node.elts:
            yield from _literals(member)
    elif isinstance(node, ast.IfExp):
        yield from _literals(node.body)
        yield from _literals(node.orelse)


def _in_tables() -> Iterator[str]:
    for entry in actions.ENTRIES.values():
        yield from (entry.text, entry.tip)
    yield from (title for title, _ in actions.MENUS)
    for table in (names.LABELS, names.GROUPS, names.NEW):
        yield from table.values()
    shown = {table: fields for table, (_, fields) in KINDS.items()} | dict(form.INSIDE)
    for table_name, fields in shown.items():
        yield from (meaning(table_name, name) for name in fields if name in names.LABELS)
