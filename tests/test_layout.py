"""The agreed layout holds: top level, one index of models, a test beside every module that computes."""

import ast
import subprocess
from pathlib import Path

import pytest

HOME = Path(__file__).resolve().parents[1]
ALLOWED = {
    "README.md",
    "DEVELOPERS.md",
    "manage.py",
    "kitchen",
    "haccp",
    "templates",
    "static",
    "tests",
    "fixtures",
    "pyproject.toml",
    "constraints.txt",
    "Makefile",
    "LICENSE",
}


def tracked() -> list[str]:
    listed = subprocess.run(["git", "ls-files"], cwd=HOME, capture_output=True, text=True, check=False)
    if listed.returncode or not listed.stdout:
        pytest.skip("not a git checkout")
    return listed.stdout.splitlines()


def test_the_top_level_is_as_agreed():
    top = {name.split("/")[0] for name in tracked()}
    assert {each for each in top if not each.startswith(".")} <= ALLOWED


def test_every_rooms_models_are_in_the_index():
    index = (HOME / "kitchen/models.py").read_text()
    rooms = {path.parent.name for path in HOME.glob("kitchen/*/models.py")}
    assert {room for room in rooms if f"from kitchen.{room}.models import" not in index} == set()


def test_every_module_of_haccp_has_a_test():
    files = list((HOME / "tests/haccp").glob("test_*.py"))
    tests = " ".join(path.read_text() for path in files)
    own = {path.stem.removeprefix("test_") for path in files}
    modules = [
        ".".join(path.relative_to(HOME).with_suffix("").parts)
        for path in (HOME / "haccp").rglob("*.py")
        if path.name not in ("__init__.py", "__main__.py")
    ]
    named = {
        each
        for each in modules
        if each in tests or each.rsplit(".", 1)[1] in own or f"import {each.rsplit('.', 1)[1]}" in tests
    }
    assert sorted(set(modules) - named - {"haccp.ranges", "haccp.datafiles"}) == []


def test_public_functions_of_haccp_are_documented():
    missing = []
    for path in (HOME / "haccp").rglob("*.py"):
        tree = ast.parse(path.read_text())
        if path.name != "__init__.py" and not ast.get_docstring(tree):
            missing.append(str(path.relative_to(HOME)))
        for node in tree.body:
            if (
                isinstance(node, ast.FunctionDef | ast.ClassDef)
                and not node.name.startswith("_")
                and not ast.get_docstring(node)
            ):
                missing.append(f"{path.relative_to(HOME)}: {node.name}")
    assert missing == []


def test_no_registry_address_is_committed():
    for name in ("constraints.txt", "pyproject.toml", "Makefile", ".ci/run"):
        text = (HOME / name).read_text()
        assert "index-url" not in text
        assert "/simple" not in text


def test_pages_promise_nothing():
    """Bathbook never calls food safe; it says which limits it meets. (Titles of sources may.)"""
    for folder in ("templates", "kitchen", "haccp"):
        for path in (HOME / folder).rglob("*"):
            if path.suffix in (".html", ".svg", ".toml") and path.name != "sources.toml":
                words = path.read_text().lower().replace("|safe", "").replace("food safety", "")
                words = words.replace("safety", "").replace("unsafe", "")
                assert " safe" not in words, path
