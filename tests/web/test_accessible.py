"""Every page in light and dark, narrow and wide: no serious fault by axe-core, nothing wider than the screen.

axe-core (MPL-2.0) is no part of the project: it comes with the test tool axe-playwright-python, or
``JOURNAL_AXE`` names its ``axe.min.js``.
"""

from __future__ import annotations

import importlib.util
import json
import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from journal.keep import Machine
from journal.present.web.machines import address_of
from tests.conftest import Require
from tests.web.browser import CHROMIUM, Server, chromium, logged_in, server
from tests.web.conftest import Template

SIZES = ((390, 844), (820, 1180), (1440, 900), (720, 450))  # the last is 1440 at a zoom of 200 %
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}
MACHINE = address_of(Machine(name="condensing unit 3", site="Quillwort Bakery"))
#: pages with a path of their own; the visits among them are chosen when the day is made
PAGES = {"visits": "/visits", "found": "/visits?site=Quillwort&open=1", "none": "/visits?text=zebra",
         "machine": MACHINE, "people": "/people", "audit": "/audit", "password": "/password", "capture": "/capture",
         "certificate": "/certificate", "refused": "/visits/ZZZZZZ", "nowhere": "/nowhere"}  # fmt: skip
VISITS = {
    "leaking": "Shop never gets cool",
    "maintained": "Quarterly maintenance",
    "grounded": "Freezer quit overnight",
}
NAMES = [*PAGES, *VISITS]


def axe_file() -> Path | None:
    """Where axe-core is, if it is there."""
    found = importlib.util.find_spec("axe_playwright_python")
    named = os.environ.get("JOURNAL_AXE")
    path = Path(named) if named else Path(found.origin).with_name("axe.min.js") if found and found.origin else None
    return path if path and path.is_file() else None


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory, worked: Template, require: Require) -> Iterator[Server]:
    there = bool(CHROMIUM) and importlib.util.find_spec("playwright") is not None
    require("browser", there, "needs chromium (Debian: chromium) and the Python package playwright")
    store = tmp_path_factory.mktemp("pages") / "store"
    shutil.copytree(worked.folder, store)
    with server(store) as one:
        yield one


@pytest.fixture(scope="module")
def page(served: Server) -> Iterator[Any]:
    with chromium(bypass_csp=True, reduced_motion="reduce") as one:
        logged_in(one, served, "marit")
        yield one


def path_of(name: str, worked: Template) -> str:
    if name in PAGES:
        return PAGES[name]
    return "/visits/" + next(code for code, visit in worked.visits.items() if visit.title == VISITS[name])


def faults(page: Any, axe: Path) -> list[tuple[str, str, list[str]]]:
    """What axe-core finds on a page, all of it opened, that is more than a trifle."""
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    page.evaluate(axe.read_text(encoding="utf-8") + ";0")
    found = page.evaluate(f"axe.run(document, {json.dumps(RULES)})")
    assert found["passes"], "nothing was looked at"
    return [
        (one["id"], one["impact"], [node["html"][:160] for node in one["nodes"]][:3])
        for one in found["violations"]
        if one["impact"] in ("serious", "critical", "moderate")
    ]


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_wider_than_the_screen(page: Any, served: Server, worked: Template, name: str) -> None:
    page.goto(served.url + path_of(name, worked))
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    for width, height in SIZES:
        page.set_viewport_size({"width": width, "height": height})
        assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("name", NAMES)
def test_no_serious_fault(
    page: Any, served: Server, worked: Template, require: Require, name: str, scheme: str
) -> None:
    axe = axe_file()
    require("axe", axe is not None, "needs axe-core: pip install axe-playwright-python, or JOURNAL_AXE")
    assert axe is not None
    page.emulate_media(color_scheme=scheme)
    page.set_viewport_size({"width": 390, "height": 844} if scheme == "dark" else {"width": 1440, "height": 900})
    page.goto(served.url + path_of(name, worked))
    assert faults(page, axe) == []


def test_no_serious_fault_before_logging_in(page: Any, served: Server, require: Require) -> None:
    axe = axe_file()
    require("axe", axe is not None, "needs axe-core: pip install axe-playwright-python, or JOURNAL_AXE")
    assert axe is not None
    page.context.clear_cookies()
    try:
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            page.goto(f"{served.url}/sign-in")
            assert faults(page, axe) == []
    finally:
        logged_in(page, served, "marit")


def test_no_serious_fault_on_an_empty_store(page: Any, tmp_path: Path, require: Require) -> None:
    axe = axe_file()
    require("axe", axe is not None, "needs axe-core: pip install axe-playwright-python, or JOURNAL_AXE")
    assert axe is not None
    with server(tmp_path / "store") as empty:
        for path in ("/visits", "/people", "/audit"):
            page.goto(empty.url + path)
            assert faults(page, axe) == [], path
        page.goto(empty.url + "/visits")
        assert "No visit yet" in page.inner_text("main")
