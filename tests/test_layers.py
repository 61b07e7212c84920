"""A module imports from its own room and from the rooms above it, never from one below."""

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[1] / "selector"
ROOMS = ("", "physics", "catalogue", "facts", "project", "choosing", "report", "demo", "upkeep")
"""From top to bottom; the modules of the package itself stand first, the program on top of all rooms last."""
LAST = {"pipeline", "shelf", "cli", "cli_shelf", "cli_tables", "__main__"}
FORBIDDEN = {"physics": {"polars", "pint", "openpyxl", "numpy"}, "facts": {"polars", "pint", "openpyxl"}}


def room_of(module):
    parts = module.split(".")[1:]
    if not parts:
        return 0
    if parts[0] in LAST:
        return len(ROOMS)
    return ROOMS.index(parts[0]) if parts[0] in ROOMS else 0


def imports(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            yield node.module
            if node.module == "selector":
                yield from (f"selector.{alias.name}" for alias in node.names)
        elif isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)


MODULES = sorted(PACKAGE.rglob("*.py"))


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_imports_go_up(path):
    name = ".".join(["selector", *path.relative_to(PACKAGE).with_suffix("").parts])
    own = room_of(name)
    low = [m for m in imports(path) if m.startswith("selector.") and room_of(m) > own]
    allowed = {"upkeep": {"selector.pipeline"}}.get(ROOMS[own] if own < len(ROOMS) else "", set())
    assert set(low) <= allowed
    forbidden = FORBIDDEN.get(ROOMS[own] if own < len(ROOMS) else "", set())
    assert not forbidden & {module.split(".")[0] for module in imports(path)}
