"""The layers of DEVELOPERS.md, enforced: imports go one way, heavy packages stay in their room."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parent.parent / "surveyapp"
MODULES = sorted(PACKAGE.rglob("*.py"))

GROUND_FLOOR = {"errors", "model", "resources", "languages", "wording"}
MAY_IMPORT = {
    "errors": set(),
    "resources": {"errors"},
    "languages": {"errors", "resources"},
    "model": set(),
    "wording": {"model"},
    "radio": {"errors", "model", "resources"},
    "geometry": {"errors", "model", "radio"},
    "analysis": {"errors", "model", "geometry", "radio", "resources", "wording"},
    "report": {"errors", "model", "geometry", "radio", "analysis", "resources", "wording"},
    "store": {"errors", "model"},
    "exchange": {"errors", "model", "geometry"},
    "sensors": {"errors", "model"},
    "keeping": {"errors", "model", "store", "exchange"},
    "demo": {"errors", "model", "resources", "geometry", "radio", "store", "exchange"},
    "ui": {
        "errors",
        "model",
        "resources",
        "languages",
        "wording",
        "geometry",
        "radio",
        "analysis",
        "report",
        "store",
        "exchange",
        "sensors",
        "keeping",
        "demo",
    },
    "commands": {
        "errors",
        "model",
        "resources",
        "languages",
        "wording",
        "geometry",
        "radio",
        "analysis",
        "report",
        "store",
        "exchange",
        "sensors",
        "keeping",
        "demo",
        "ui",
    },
    "cli": {
        "errors",
        "model",
        "resources",
        "languages",
        "wording",
        "geometry",
        "radio",
        "analysis",
        "report",
        "store",
        "exchange",
        "sensors",
        "keeping",
        "demo",
        "ui",
        "commands",
    },
    "__main__": {"cli"},
    "__init__": set(),
}
ONLY_IN = {
    "kivy": {"ui"},
    "plyer": {"sensors"},
    "jnius": {"sensors"},
    "android": {"sensors"},
    "sqlite3": {"store", "exchange"},
    "sqlite_utils": {"store"},
}
PURE = {"geometry", "radio", "analysis"}
IMPURE_MODULES = {"time", "random", "secrets", "socket", "urllib", "requests"}
IMPURE_CALLS = {"datetime.now", "datetime.utcnow", "date.today", "datetime.today"}


def layer_of(path: Path) -> str:
    """The folder under surveyapp, or the module's own name at its top."""
    return path.relative_to(PACKAGE).with_suffix("").parts[0]


def imports_of(path: Path) -> set[str]:
    """Every dotted name the module imports, at its top or inside a function."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: imports are absolute in this project"
            names.update(f"{node.module}.{alias.name}" for alias in node.names)
    return names


def relative_name(path: Path) -> str:
    """A short name for test ids."""
    return str(path.relative_to(PACKAGE.parent))


@pytest.mark.parametrize("path", MODULES, ids=relative_name)
def test_a_module_imports_only_from_the_layers_below_it(path: Path) -> None:
    """A breach of the one-way rule fails with the import that broke it."""
    own = layer_of(path)
    for name in imports_of(path):
        parts = name.split(".")
        if parts[0] != "surveyapp" or len(parts) < 2:
            continue
        other = parts[1]

        assert other == own or other in MAY_IMPORT[own] or other == "__version__", (
            f"{relative_name(path)} imports {name}: {own} may not know {other}"
        )


@pytest.mark.parametrize("path", MODULES, ids=relative_name)
def test_heavy_packages_stay_in_their_own_room(path: Path) -> None:
    """Kivy only in ui, plyer and pyjnius only in sensors, SQLite only in store."""
    for name in imports_of(path):
        rooms = ONLY_IN.get(name.split(".")[0])

        assert rooms is None or layer_of(path) in rooms, f"{relative_name(path)} imports {name}"


@pytest.mark.parametrize("path", [p for p in MODULES if layer_of(p) in PURE], ids=relative_name)
def test_mathematics_never_reads_a_clock_or_a_random_seed(path: Path) -> None:
    """Geometry, radio and analysis get time and chance handed in."""
    roots = {name.split(".")[0] for name in imports_of(path)}
    called = {
        ast.unparse(node.func)
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call)
    }

    assert not roots & IMPURE_MODULES
    assert not called & IMPURE_CALLS
    assert not any(call.startswith(("np.random.", "numpy.random.")) for call in called)


ALONE = """
import importlib, sys
failed = []
for name in sys.argv[1:]:
    for loaded in [m for m in sys.modules if m.split(".")[0] == "surveyapp"]:
        del sys.modules[loaded]
    try:
        importlib.import_module(name)
    except Exception as error:
        failed.append(f"{name}: {error!r}")
print("\\n".join(failed))
"""


def test_each_module_outside_ui_imports_alone() -> None:
    """No module relies on another having been imported first, and none opens a window."""
    names = [
        ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts).removesuffix(".__init__")
        for path in MODULES
        if layer_of(path) not in {"ui", "__main__"}
    ]
    done = subprocess.run(
        [sys.executable, "-c", ALONE, *names],
        capture_output=True, text=True, cwd=PACKAGE.parent, check=True,
    )  # fmt: skip

    assert done.stdout.strip() == ""


def test_the_core_starts_without_what_only_a_desk_has() -> None:
    """matplotlib and osmium are asked for only where their work is done."""
    code = (
        "import sys\n"
        "for name in ('matplotlib', 'osmium', 'scipy', 'shapely', 'pyproj'):\n"
        "    sys.modules[name] = None\n"
        "import surveyapp.cli, surveyapp.store, surveyapp.exchange, surveyapp.report\n"
        "assert 'kivy' not in sys.modules\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=PACKAGE.parent,
        check=False,
    )  # fmt: skip

    assert done.returncode == 0, done.stderr
