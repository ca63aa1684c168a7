"""The floors of the house: imports run one way, and a one-grip question stays light.

Errors lie under all floors.
"""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

SRC = Path(__file__).parents[1] / "src" / "gripwright"
FLOORS = {
    "errors": -1, "files": 0, "theory": 0, "beats": 0, "neck": 1, "harmony": 2, "dsp": 2,
    "voicing": 3, "timing": 3,
    "lesson": 4, "draw": 5, "formats": 5, "hearing": 5, "page": 6, "screen": 6,
    "proof": 6, "teach": 6, "pack": 7, "shelf": 7, "cli": 8, "bench": 9, "__main__": 10,
}  # fmt: skip


def _room(dotted: str) -> str:
    return dotted.split(".")[1] if "." in dotted else ""


def _edges() -> Iterator[tuple[str, str, str]]:
    """Yield (file, room, imported module) for every import of our own modules."""
    for path in sorted(SRC.rglob("*.py")):
        room = path.relative_to(SRC).parts[0].removesuffix(".py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = []
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
                names = [node.module]
                if node.module == "gripwright":
                    names = [f"gripwright.{alias.name}" for alias in node.names]
            for name in names:
                if name.split(".")[0] == "gripwright":
                    yield str(path.relative_to(SRC)), room, name


EDGES = list(_edges())


def test_every_import_runs_down() -> None:
    """A room imports only from floors below its own, or from its own folder."""
    assert EDGES
    wrong = [
        f"{file} ({room}) imports {name}"
        for file, room, name in EDGES
        if room != _room(name) and FLOORS[_room(name)] >= FLOORS[room]
    ]
    assert not wrong, "\n".join(wrong)


def test_no_function_imports_our_own_modules_or_the_root() -> None:
    """Own imports stand at the top of a module, and never name the package root."""
    wrong = []
    for path in sorted(SRC.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                for inner in ast.walk(node):
                    module = (
                        getattr(inner, "module", None)
                        if isinstance(inner, ast.ImportFrom)
                        else None
                    )
                    if module and module.split(".")[0] == "gripwright":
                        wrong.append(f"{path.relative_to(SRC)}:{inner.lineno}")
            if isinstance(node, ast.ImportFrom) and node.module == "gripwright":
                names = {alias.name for alias in node.names}
                wrong += [f"{path.relative_to(SRC)} {n}" for n in names if n not in FLOORS]
    assert not wrong, "\n".join(wrong)


HEAVY = {"numpy", "scipy", "av", "soundfile", "soxr", "verovio", "typst", "resvg", "lxml",
         "starlette", "uvicorn", "mido", "markdown_it", "rich"}  # fmt: skip


@pytest.mark.parametrize("line", ["import gripwright", "name"])
def test_a_one_grip_question_loads_no_heavy_library(line: str) -> None:
    """`import gripwright` and `gripwright name` load none of the arrays, audio or page stacks."""
    code = "import sys; import gripwright"
    if line == "name":
        code = (
            "import sys; sys.argv = ['gripwright', 'name', 'x35553', '--json']\n"
            "from gripwright.cli.main import main\n"
            "try:\n    main()\nexcept SystemExit:\n    pass"
        )
    code += "\nprint(' '.join(sys.modules), file=sys.stderr)"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = {name.split(".")[0] for name in run.stderr.split()}
    assert "gripwright" in loaded
    assert not loaded & HEAVY
