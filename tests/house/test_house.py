"""The house keeps its own rules: documented commands, room notes, no stray paths, no uncounted rooms."""

from __future__ import annotations

import ast
import re
import subprocess
from pathlib import Path

import pytest

from endfeel.cli.main import COMMANDS

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "endfeel"
ROOMS = sorted(path.parent.name for path in PACKAGE.glob("*/__init__.py"))
CORE = ("vocabulary", "anatomy", "mechanics", "safety", "measurement", "inference", "planner", "assessment")


def tracked_files() -> list[Path]:
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True).stdout.decode()
    return [ROOT / name for name in listed.split("\0") if name and (ROOT / name).is_file()]


@pytest.mark.parametrize("room", ROOMS)
def test_every_room_says_what_it_is(room: str) -> None:
    readme = PACKAGE / room / "README.md"
    assert readme.is_file(), f"src/endfeel/{room}/README.md is missing"
    assert len(readme.read_text(encoding="utf-8").split()) >= 20


@pytest.mark.parametrize("command", sorted(COMMANDS))
def test_every_command_has_its_module_and_stands_in_the_readme(command: str) -> None:
    source = (PACKAGE / "cli" / f"{command}.py").read_text(encoding="utf-8")
    names = {node.name for node in ast.walk(ast.parse(source)) if isinstance(node, ast.FunctionDef)}
    assert {"configure", "run"} <= names
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert f"endfeel {command}" in readme or f"make {command}" in readme


def test_every_link_in_the_documents_leads_somewhere() -> None:
    broken = []
    for page in [*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md"), *PACKAGE.rglob("README.md")]:
        targets = re.findall(r"\]\(([^)#\s]+)", page.read_text(encoding="utf-8"))
        inside = [t for t in targets if not t.startswith(("http://", "https://", "mailto:"))]
        broken += [f"{page.relative_to(ROOT)} → {t}" for t in inside if not (page.parent / t).exists()]
    assert not broken


def test_no_registry_address_stands_in_the_pins() -> None:
    for lock in ROOT.glob("*.lock"):
        assert "://" not in lock.read_text(encoding="utf-8"), lock.name


def test_the_core_asks_no_clock_and_opens_no_file() -> None:
    banned = {"open", "print", "input"}
    found = []
    for room in CORE:
        for path in (PACKAGE / room).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Call):
                    name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
                    if (isinstance(node.func, ast.Name) and name in banned) or name in {"now", "today", "read_text"}:
                        found.append(f"{path.relative_to(ROOT)}:{node.lineno} {name}")
    assert not found


def test_no_page_asks_the_records_in_the_event_loop() -> None:
    found = []
    for path in (PACKAGE / "web" / "pages").rglob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for page in (node for node in ast.walk(tree) if isinstance(node, ast.AsyncFunctionDef)):
            for node in ast.walk(page):
                called = ast.unparse(node.func) if isinstance(node, ast.Call) else ""
                if called.startswith("care."):
                    found.append(f"{path.relative_to(ROOT)}:{node.lineno} {called}")
    assert not found, "let it run in a thread: a plain def, or run_in_threadpool"


def test_no_module_grows_past_reading() -> None:
    long = {
        str(path.relative_to(ROOT)): lines
        for path in PACKAGE.rglob("*.py")
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > 500
    }
    assert not long


def test_no_tracked_file_is_a_stray_binary_or_very_large() -> None:
    large = [str(path.relative_to(ROOT)) for path in tracked_files() if path.stat().st_size > 600_000]
    assert not large
