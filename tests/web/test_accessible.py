"""Every page in light and dark, narrow and wide: no serious fault by axe-core, nothing wider than the screen.

axe-core is not part of the project: ``JOURNAL_AXE`` names its ``axe.min.js``, else ``node_modules/`` is looked at
(``npm install --no-save axe-core``).
"""

from __future__ import annotations

import importlib.util
import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.conftest import Require
from tests.web.browser import CHROMIUM, Server, chromium, server
from tests.web.conftest import Template

ROOT = Path(__file__).resolve().parents[2]
AXE = Path(os.environ.get("JOURNAL_AXE") or ROOT / "node_modules" / "axe-core" / "axe.min.js")
SIZES = ((390, 844), (820, 1180), (1440, 900), (720, 450))  # the last is 1440 at a zoom of 200 %
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory, template: Template, require: Require) -> Iterator[Server]:
    there = bool(CHROMIUM) and importlib.util.find_spec("playwright") is not None
    require("browser", there, "needs chromium (Debian: chromium) and the Python package playwright")
    store = tmp_path_factory.mktemp("pages") / "store"
    shutil.copytree(template.folder, store, ignore=shutil.ignore_patterns("access"))
    with server(store) as one:
        yield one


@pytest.fixture(scope="module")
def page(served: Server) -> Iterator[Any]:
    with chromium(bypass_csp=True, reduced_motion="reduce") as one:
        yield one


def paths(template: Template) -> dict[str, str]:
    code = template.visits["ines"].code
    return {"visits": "/visits", "none": "/visits?text=zebra", "visit": f"/visits/{code}", "capture": "/capture",
            "certificate": "/certificate", "trouble": "/nowhere"}  # fmt: skip


@pytest.mark.parametrize("name", ["visits", "none", "visit", "capture", "certificate", "trouble"])
def test_nothing_is_wider_than_the_screen(page: Any, served: Server, template: Template, name: str) -> None:
    for width, height in SIZES:
        page.set_viewport_size({"width": width, "height": height})
        page.goto(served.url + paths(template)[name])
        assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("name", ["visits", "none", "visit", "capture", "certificate", "trouble"])
def test_no_serious_fault(
    page: Any, served: Server, template: Template, require: Require, name: str, scheme: str
) -> None:
    require("axe", AXE.is_file(), "needs axe-core: npm install --no-save axe-core, or JOURNAL_AXE")
    page.emulate_media(color_scheme=scheme)
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(served.url + paths(template)[name])
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    page.add_script_tag(content=AXE.read_text(encoding="utf-8"))
    found = page.evaluate(f"axe.run(document, {RULES!r})")
    assert found["passes"], "nothing was looked at"
    wrong = [
        (one["id"], one["impact"], [node["html"][:160] for node in one["nodes"]][:3])
        for one in found["violations"]
        if one["impact"] in ("serious", "critical", "moderate")
    ]
    assert wrong == []


def test_by_keyboard_alone(page: Any, served: Server, template: Template) -> None:
    """From the list into a visit, along its readings, and to the list of keys."""
    page.set_viewport_size({"width": 1440, "height": 900})
    page.goto(served.url + "/visits")
    page.keyboard.press("j")
    page.keyboard.press("Enter")
    page.wait_for_url("**/visits/*")
    page.keyboard.press("j")
    first = page.evaluate("document.activeElement.id")
    page.keyboard.press("j")
    second = page.evaluate("document.activeElement.id")
    assert first.startswith("r-")
    assert second.startswith("r-")
    assert first != second
    page.keyboard.press("?")
    assert page.is_visible("#keys")
    page.keyboard.press("Escape")
    assert not page.is_visible("#keys")
    assert page.evaluate("document.activeElement.id") == second
