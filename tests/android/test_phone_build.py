"""The build of the phone app: nothing the core imports is missing, nothing else is needed."""

from __future__ import annotations

import ast
import configparser
import importlib.util
import os
import re
import subprocess
import sys
import tomllib
from importlib import metadata
from pathlib import Path
from types import ModuleType

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from PIL import Image, ImageChops, ImageStat

from surveyapp import __version__

ROOT = Path(__file__).resolve().parent.parent.parent
BUILD = ROOT / "assets" / "android"
DESK_ONLY = {"matplotlib", "osmium"}
# What python-for-android v2026.05.09 carries a recipe for, with the recipe's version, and what
# exists on a phone only; Kivy's own needs are named in its recipe.
OF_RECIPES = {"numpy": "2.3.0", "pillow": "11.3.0", "pyjnius": "1.7.0"}
PHONE_ONLY = {"android", "pyjnius", "python3"}
NEEDS_OF_KIVY = {"certifi", "chardet", "charset-normalizer", "idna", "requests", "urllib3",
                 "filetype", "kivy-garden"}  # fmt: skip
ONLY_ON_COMMAND_LINES = {"pip"}


def spec() -> configparser.ConfigParser:
    """The specification, read as buildozer reads it."""
    parser = configparser.ConfigParser(allow_no_value=True)
    parser.optionxform = str  # type: ignore[assignment, method-assign]
    parser.read(BUILD / "buildozer.spec", encoding="utf-8")
    return parser


def listed(option: str) -> list[str]:
    """A list of the specification."""
    return [part.strip() for part in spec()["app"][option].split(",")]


def requirements() -> dict[str, str]:
    """Each requirement by its canonical name, with its pin or ''."""
    made = (Requirement(text) for text in listed("requirements"))
    return {
        canonicalize_name(one.name): next((pin.version for pin in one.specifier), "")
        for one in made
    }


def script(path: Path) -> ModuleType:
    """One of the build's scripts, imported from its file."""
    found = importlib.util.spec_from_file_location(path.stem, path)
    assert found is not None
    assert found.loader is not None
    module = importlib.util.module_from_spec(found)
    found.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def staged(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The phone's files, laid for a build."""
    target: Path = script(BUILD / "stage.py").stage(tmp_path_factory.mktemp("stage") / "android")
    return target


def imported() -> set[str]:
    """Top names of everything the package imports from elsewhere, inside functions too."""
    names: set[str] = set()
    for path in (ROOT / "surveyapp").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                names.update(alias.name.split(".")[0] for alias in node.names)
            elif isinstance(node, ast.ImportFrom) and node.module:
                names.add(node.module.split(".")[0])
    return names - set(sys.stdlib_module_names) - {"surveyapp", "__future__"}


def test_every_import_of_the_phones_core_is_required() -> None:
    """Whatever the package imports comes from a listed requirement; desk-only work apart."""
    providers = metadata.packages_distributions()
    providers |= {"jnius": ["pyjnius"], "android": ["android"], "PIL": ["pillow"]}
    missing = {
        name
        for name in imported() - DESK_ONLY
        if not {canonicalize_name(own) for own in providers.get(name, ["?"])} & set(requirements())
    }

    assert missing == set()


def test_every_dependency_of_the_package_is_required_in_a_version_it_allows() -> None:
    """`pyproject.toml` and the phone's build cannot drift apart."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    pins = requirements() | OF_RECIPES
    for text in project["dependencies"]:
        wanted = Requirement(text)
        pin = pins[canonicalize_name(wanted.name)]

        assert wanted.specifier.contains(pin), f"{text} does not allow {pin}"


def test_what_the_requirements_need_is_required_too() -> None:
    """All of it, as the packages themselves say."""
    have = set(requirements()) | NEEDS_OF_KIVY | ONLY_ON_COMMAND_LINES
    for name in set(requirements()) - PHONE_ONLY - {"kivy"}:
        for text in metadata.requires(name) or ():
            need = Requirement(text)
            if need.marker is None or need.marker.evaluate({"extra": ""}):
                assert canonicalize_name(need.name) in have, f"{name} needs {text}"


def test_every_package_without_a_recipe_is_pinned() -> None:
    """A build next year is the same build."""
    loose = {name for name, pin in requirements().items() if not pin}

    assert loose == set(OF_RECIPES) | PHONE_ONLY


def test_version_api_and_orientation_are_said() -> None:
    """The version is the package's own, found by the specification's own pattern."""
    app = spec()["app"]
    text = (ROOT / "surveyapp" / "__init__.py").read_text(encoding="utf-8")
    found = re.search(app["version.regex"], text)

    assert found
    assert found[1] == __version__
    assert listed("orientation") == ["portrait", "landscape"]
    assert int(app["android.minapi"]) <= int(app["android.api"])
    assert app["android.allow_backup"] == "False"


def test_permissions_are_those_the_sensors_ask_for_each_with_its_reason() -> None:
    """None is declared for nothing, and none is asked for that was not declared."""
    sensors = "".join(path.read_text() for path in (ROOT / "surveyapp/sensors").glob("*.py"))
    asked = set(re.findall(r'"(android\.permission\.\w+)"', sensors))
    text = (BUILD / "buildozer.spec").read_text(encoding="utf-8")
    declared = set(listed("android.permissions"))

    granted = {f"android.permission.{name}" for name in ("VIBRATE", "INTERNET")}  # unasked
    assert declared - granted == asked
    assert all(re.search(rf"^# {name.split('.')[-1]}  +\w", text, re.M) for name in declared)


def test_the_stage_holds_the_phones_files_and_no_others(staged: Path) -> None:
    """Every file has a suffix the specification takes; tests and desk data stay behind."""
    suffixes = {path.suffix[1:] for path in staged.rglob("*") if path.is_file()}
    tops = {path.name for path in staged.iterdir()}

    assert suffixes <= set(listed("source.include_exts"))
    assert tops == {"main.py", "surveyapp", "assets", "sample_surveys"}
    assert not [path for path in staged.rglob("*") if path.name in {"tests", "__pycache__"}]
    assert not list((staged / "assets").rglob("*.py"))


BLOCKER = """
import sys
from importlib import metadata

class OnlyWhatThePhoneHas:
    def find_spec(self, name, path=None, target=None):
        top = name.split(".")[0]
        owners = PROVIDERS.get(top)
        if owners and not set(owners) & ALLOWED:
            raise ModuleNotFoundError(f"{name} is not on the phone", name=name)
        return None

PROVIDERS = {top: [o.lower().replace("_", "-") for o in owners]
             for top, owners in metadata.packages_distributions().items()}
ALLOWED = {"surveyapp", *sys.argv.pop(1).split(",")}
sys.meta_path.insert(0, OnlyWhatThePhoneHas())
sys.path.insert(0, ".")
"""

CORE = """
import importlib, pathlib
for path in sorted(pathlib.Path("surveyapp").rglob("*.py")):
    name = ".".join(path.with_suffix("").parts).removesuffix(".__init__")
    if not name.startswith(("surveyapp.ui", "surveyapp.__main__")):
        importlib.import_module(name)
from surveyapp.store import Notebook
from surveyapp.geometry.headings import declination
from surveyapp.radio.channels import channel
from surveyapp.exchange.formats import read_ground
from surveyapp.exchange.gazetteer import read_places
from surveyapp.resources import shipped
from datetime import date
with Notebook.create(pathlib.Path(sys.argv[1])) as notebook:
    notebook.ground.replace(read_ground(shipped("sample_surveys", "quarter.osm.gz")), "sample")
assert declination(60.17, 24.94, date(2026, 5, 4)).declination_deg > 10
assert "n258" in channel("26.5 GHz").bands
assert read_places(shipped("assets", "data", "places.csv.gz")).find("porvoo")
from surveyapp.ui.notebooks import write_demo_day
with Notebook.open(write_demo_day(pathlib.Path(sys.argv[1]), "", bool)) as demo:
    assert not demo.check() and demo.setting("theme") is None
"""

SCREEN = """
from kivy.clock import Clock
from surveyapp.ui.app import SurveyApp
app = SurveyApp(__import__("pathlib").Path(sys.argv[1]))
Clock.schedule_once(lambda _dt: app.stop(), 0.3)
app.run()
assert app.session is not None
"""


def run_staged(staged: Path, body: str, notebook: Path) -> subprocess.CompletedProcess[str]:
    """Run code in the staged folder, where only the phone's requirements can be imported."""
    allowed = ",".join((set(requirements()) | NEEDS_OF_KIVY) - PHONE_ONLY)
    environment = {name: value for name, value in os.environ.items() if name != "DISPLAY"}
    environment |= {
        "SDL_VIDEODRIVER": "offscreen", "KIVY_NO_FILELOG": "1", "KIVY_NO_CONSOLELOG": "1",
        "KIVY_NO_ARGS": "1", "KIVY_USE_DEFAULTCONFIG": "1", "KIVY_HOME": str(notebook.parent),
    }  # fmt: skip
    return subprocess.run(
        [sys.executable, "-c", BLOCKER + body, allowed, str(notebook)],
        cwd=staged, capture_output=True, text=True, env=environment, check=False, timeout=120,
    )  # fmt: skip


def test_the_core_works_with_only_what_the_phone_has(staged: Path, tmp_path: Path) -> None:
    """Every module outside ui imports; notebook, ground, compass, towns and demo day work."""
    done = run_staged(staged, CORE, tmp_path / "survey.notebook")

    assert done.returncode == 0, done.stderr[-2_000:]


def test_the_blocker_blocks(staged: Path, tmp_path: Path) -> None:
    """Else the test above would prove nothing."""
    done = run_staged(staged, "import scipy", tmp_path / "survey.notebook")

    assert "scipy is not on the phone" in done.stderr


@pytest.mark.ui
def test_the_app_starts_with_only_what_the_phone_has(staged: Path, tmp_path: Path) -> None:
    """The staged app opens a fresh notebook on an offscreen surface and closes again."""
    done = run_staged(staged, SCREEN, tmp_path / "survey.notebook")

    assert done.returncode == 0, done.stderr[-2_000:]
    assert (tmp_path / "survey.notebook").exists()


def test_sqlite_is_built_with_rtree(monkeypatch: pytest.MonkeyPatch) -> None:
    """The local recipe adds one flag to the environment of python-for-android's own."""

    class Sqlite3Recipe:
        def get_recipe_env(self, arch: str, with_flags_in_cc: bool = True) -> dict[str, str]:
            return {"CFLAGS": f"-O2 {arch}", "CC": "clang"}

    module = ModuleType("pythonforandroid.recipes.sqlite3")
    module.Sqlite3Recipe = Sqlite3Recipe  # type: ignore[attr-defined]
    for name in ("pythonforandroid", "pythonforandroid.recipes"):
        monkeypatch.setitem(sys.modules, name, ModuleType(name))
    monkeypatch.setitem(sys.modules, module.__name__, module)
    recipe = script(BUILD / "recipes" / "sqlite3" / "__init__.py").recipe

    assert recipe.get_recipe_env("arm64") == {
        "CFLAGS": "-O2 arm64 -DSQLITE_ENABLE_RTREE=1",
        "CC": "clang",
    }
    assert (BUILD / spec()["app"]["p4a.local_recipes"] / "sqlite3").is_dir()


def test_the_icon_is_what_its_script_draws() -> None:
    """Each file is there, 512 px square, and as drawn."""
    drawn = script(BUILD / "draw_icon.py").drawings()
    named = {spec()["app"][option] for option in spec()["app"] if "filename" in option
             and spec()["app"][option].endswith(".png")}  # fmt: skip

    assert named == set(drawn)
    for name, image in drawn.items():
        with Image.open(BUILD / name) as kept:
            difference = ImageChops.difference(kept.convert("RGBA"), image)

            assert kept.size == (512, 512)
            assert max(ImageStat.Stat(difference).mean) < 1.0
