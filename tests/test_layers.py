"""The arrows between the folders, and the one home of each heavy library.

Walks every import of ``journal/`` with ``ast``, late ones included, and fails on an arrow that points backwards.
"""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent / "journal"

#: layer -> the layers it may import besides itself
MAY_IMPORT: dict[str, set[str]] = {
    "errors": set(),
    "carried": set(),
    "domain": {"errors"},
    "units": {"domain", "errors"},
    "config": {"errors"},
    "hear": {"carried", "domain", "units", "errors"},
    "interpret": {"domain", "units", "errors"},
    "judge": {"domain", "units", "errors"},
    "keep": {"domain", "units", "errors"},
    "hearing": {"hear", "domain", "units", "errors"},
    "adding": {"pipeline", "hearing", "hear", "interpret", "judge", "keep", "domain", "units", "errors"},
    "pipeline": {"hearing", "hear", "interpret", "judge", "keep", "domain", "units", "errors"},
    "live": {"hear", "interpret", "judge", "keep", "pipeline", "domain", "units", "errors"},
    "present": {"live", "pipeline", "hear", "interpret", "judge", "keep", "config", "domain", "units", "errors"},
    "cli": {
        "carried",
        "adding",
        "hearing",
        "live",
        "present",
        "pipeline",
        "hear",
        "interpret",
        "judge",
        "keep",
        "config",
        "domain",
        "units",
        "errors",
    },
    "__main__": {"cli"},
    "__init__": set(),
}

#: library -> the files or folders of journal/ that may import it
HOMES: dict[str, tuple[str, ...]] = {
    "vosk": ("hear/vosk_recogniser.py",),
    "soundfile": ("hear/",),
    "soxr": ("hear/",),
    "av": ("hear/",),
    "faster_whisper": ("hear/",),
    "spacy": ("interpret/",),
    "pint": ("units.py",),
    "sqlite_utils": ("keep/",),
    "sqlite3": ("keep/",),
    "CoolProp": ("judge/refrigerants.py",),
    "jinja2": ("present/",),
    "rich": ("present/", "cli/"),
    "starlette": ("present/web/",),
    "uvicorn": ("present/web/",),
    "platformdirs": ("config.py",),
    "typst": ("present/pdf.py",),
    "argcomplete": ("cli/",),
}


def files() -> list[Path]:
    return sorted(path for path in ROOT.rglob("*.py") if "data" not in path.relative_to(ROOT).parts)


def imports(path: Path) -> list[tuple[int, str]]:
    """Return (line, dotted name) of everything a file imports, absolute."""
    found: list[tuple[int, str]] = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found += [(node.lineno, alias.name) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}:{node.lineno}: imports are absolute"
            found += [(node.lineno, f"{node.module}.{alias.name}") for alias in node.names]
    return found


def layer(parts: tuple[str, ...]) -> str:
    return Path(parts[0]).stem


def test_the_walk_sees_the_whole_package() -> None:
    assert {layer(path.relative_to(ROOT).parts) for path in files()} == set(MAY_IMPORT)


@pytest.mark.parametrize("path", files(), ids=lambda path: str(path.relative_to(ROOT)))
def test_arrows_never_point_backwards(path: Path) -> None:
    own = layer(path.relative_to(ROOT).parts)
    wrong = []
    for line, name in imports(path):
        if not name.startswith("journal."):
            continue
        target = name.split(".")[1]
        if target not in (own, "__version__") and target not in MAY_IMPORT[own]:
            wrong.append(f"{path.relative_to(ROOT)}:{line} imports {name}")
    assert not wrong, wrong


@pytest.mark.parametrize("path", files(), ids=lambda path: str(path.relative_to(ROOT)))
def test_heavy_libraries_stay_at_home(path: Path) -> None:
    where = path.relative_to(ROOT).as_posix()
    wrong = [
        f"{where}:{line} imports {name}"
        for line, name in imports(path)
        if (homes := HOMES.get(name.split(".")[0])) and not where.startswith(homes)
    ]
    assert not wrong, wrong
