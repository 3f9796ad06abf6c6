"""The house itself: its package, its lock file, its words, and what it costs to open the door."""

from __future__ import annotations

import importlib
import os
import re
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

HEAVY = ("numpy", "scipy", "rich", "schemdraw", "PIL", "quantiphy", "resvg_py", "typst")
COMMANDS = tuple("new solve waveforms table find figure formulas inrush discharge work lesson proofread".split())

# In two halves, or this file would break its own rule.
LIBRARY_ARGUMENT = "trans" + "ient=True"  # of the library that draws progress on the terminal
FORBIDDEN_WORDS = [
    "swe" + "ep",
    "operating" + " point",
    "trans" + "ient",
    "bo" + "de plot",
    "net" + "list",
    "probe" + " menu",
]


def texts(root: Path) -> Iterator[Path]:
    """Every text of ours."""
    for top in ("src", "docs", "examples", "tests", ".ci"):
        for path in sorted((root / top).rglob("*")):
            # Tables and cases of others speak their own language.
            if "data" in path.parts:
                continue
            if path.suffix in (".py", ".md", ".toml", ".txt", ".css", ".js", ".html") or path.name == "run":
                yield path
    for name in ("README.md", "Makefile", "pyproject.toml"):
        if (root / name).exists():
            yield root / name


def python(code: str, root: Path) -> subprocess.CompletedProcess[str]:
    """A fresh interpreter that has loaded nothing of ours yet."""
    environment = {**os.environ, "PYTHONPATH": str(root / "src"), "PYTHONUTF8": "1"}
    return subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, encoding="utf-8", env=environment, check=False
    )


@pytest.mark.parametrize("words", [["--help"], ["--version"], *([name, "--help"] for name in COMMANDS)])
def test_help_loads_nothing_heavy(root: Path, words: list[str]) -> None:
    code = f"""
import sys
from railwright.cli import run
assert run({words!r}) == 0
sys.exit(sorted(set(sys.modules) & set({HEAVY!r})).__repr__() if set(sys.modules) & set({HEAVY!r}) else 0)
"""
    done = python(code, root)
    assert done.returncode == 0, done.stderr


def test_importing_the_package_loads_none_of_its_floors(root: Path) -> None:
    code = "import sys, railwright; sys.exit([m for m in sys.modules if m.startswith('railwright.')].__repr__())"
    assert python(code, root).stderr.strip() == "[]"


def test_every_public_name_can_be_had() -> None:
    package = importlib.import_module("railwright")
    for name in package.__all__:
        assert getattr(package, name) is not None
    assert set(package.__all__) <= set(dir(package))


def test_an_unknown_name_says_which_there_are() -> None:
    package = importlib.import_module("railwright")
    with pytest.raises(AttributeError, match="has no name 'solv'; it has .*solve"):
        _ = package.solv


def test_the_lock_file_pins_by_hash_and_names_no_registry(root: Path) -> None:
    """PEP 440 pins (==) with SHA-256 hashes are what `pip install --require-hashes` asks for (pip's documentation)."""
    text = (root / "requirements" / "lock.txt").read_text(encoding="utf-8")
    assert "://" not in text
    assert not re.search(r"--(extra-)?index-url|--find-links|--trusted-host|^-[ief]\b", text, re.MULTILINE)
    pins = re.split(r"\n(?=\S)", text.strip())
    assert len(pins) > 10
    for pin in pins:
        assert re.match(r"[a-z0-9.-]+==[0-9][^\s;]*( ; .+?)? \\\n", pin), pin[:80]
        assert re.search(r"--hash=sha256:[0-9a-f]{64}", pin), pin[:80]


def test_the_lock_file_holds_everything_that_the_project_declares(root: Path) -> None:
    import tomllib

    project = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    locked = set(re.findall(r"^([a-z0-9.-]+)==", (root / "requirements/lock.txt").read_text(encoding="utf-8"), re.M))
    declared = [*project["dependencies"]]
    for extra in project["optional-dependencies"].values():
        declared += [entry for entry in extra if not entry.startswith("railwright")]
    assert {re.split(r"[<>=!~;\[ ]", entry)[0].lower() for entry in declared} <= locked
    # A cap would lock a teacher's machine out of the next Python.
    assert [entry for entry in declared if "<" in entry or "==" in entry or "~=" in entry] == []


@pytest.fixture(scope="module")
def wheel(root: Path, tmp_path_factory: pytest.TempPathFactory) -> zipfile.ZipFile:
    if not (root / "README.md").exists():
        pytest.fail("README.md is missing, and a wheel carries it as its description.")
    folder = tmp_path_factory.mktemp("wheel")
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    done = subprocess.run(build, cwd=root, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    (path,) = folder.glob("*.whl")
    assert path.name.endswith("-py3-none-any.whl"), "not a pure-Python wheel"
    return zipfile.ZipFile(path)


def test_the_wheel_carries_what_an_installed_railwright_needs(wheel: zipfile.ZipFile, root: Path) -> None:
    names = set(wheel.namelist())
    examples = {f"railwright/examples/supplies/{path.name}" for path in (root / "examples/supplies").glob("*.toml")}
    fonts = {f"railwright/figures/fonts/{path.name}" for path in (root / "src/railwright/figures/fonts").iterdir()}
    assert examples
    assert fonts
    assert examples | fonts | {"railwright/py.typed", "railwright/cli/__init__.py"} <= names
    assert not [name for name in names if name.endswith((".so", ".pyd", ".pyc"))]
    assert not [name for name in names if not name.startswith(("railwright/", "railwright-"))]


def test_an_unpacked_wheel_finds_its_examples(wheel: zipfile.ZipFile, tmp_path: Path) -> None:
    wheel.extractall(tmp_path)
    code = "from railwright.cli import run; raise SystemExit(run(['new', 'first', '--from', 'signal-lamp']))"
    environment = {**os.environ, "PYTHONPATH": str(tmp_path)}
    folder = tmp_path / "class"
    folder.mkdir()
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=folder, env=environment, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    packaged = (tmp_path / "railwright/examples/supplies/signal-lamp.toml").read_bytes()
    assert (folder / "first.toml").read_bytes().replace(b"\r\n", b"\n") == packaged


def test_no_text_uses_a_word_that_belongs_to_some_program(root: Path) -> None:
    pattern = re.compile(r"\b(" + "|".join(map(re.escape, FORBIDDEN_WORDS)) + r")", re.IGNORECASE)
    found = [
        f"{path.relative_to(root)}:{number}: {line.strip()[:80]}"
        for path in texts(root)
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
        if pattern.search(line.replace(LIBRARY_ARGUMENT, ""))
    ]
    assert found == []


def test_no_text_holds_a_path_of_one_machine_or_a_registry(root: Path) -> None:
    pattern = re.compile(r"(^|[^\w.])/(work|root|home)/|pypi\.org|files\.pythonhosted|registry\.npmjs")
    found = [
        f"{path.relative_to(root)}:{number}"
        for path in texts(root)
        if path != Path(__file__).resolve()
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
        if pattern.search(line.replace(LIBRARY_ARGUMENT, ""))
    ]
    assert found == []


def test_every_module_says_what_its_one_idea_is(root: Path) -> None:
    """House style: the first sentence of a module's docstring tells it."""
    import ast

    for path in (root / "src/railwright").rglob("*.py"):
        docstring = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))
        assert docstring, f"{path} has no docstring"
        assert re.search(r"[.:?]", docstring.split("\n\n")[0]), f"{path}: no sentence in its docstring"
