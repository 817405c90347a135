"""A visit worked through by keyboard alone, in a real Chromium: what is pressed, what changes, where one is then."""

from __future__ import annotations

import importlib.util
import itertools
import shutil
from collections.abc import Iterator
from typing import Any

import pytest

from journal.domain.reading import Reading
from journal.domain.visit import Visit
from journal.keep import Store, current
from tests.conftest import Require
from tests.web.browser import CHROMIUM, Server, chromium, logged_in, server
from tests.web.conftest import Template


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory, worked: Template, require: Require) -> Iterator[Server]:
    there = bool(CHROMIUM) and importlib.util.find_spec("playwright") is not None
    require("browser", there, "needs chromium (Debian: chromium) and the Python package playwright")
    store = tmp_path_factory.mktemp("keys") / "store"
    shutil.copytree(worked.folder, store)
    with server(store) as one:
        yield one


@pytest.fixture(scope="module")
def page(served: Server) -> Iterator[Any]:
    with chromium(reduced_motion="reduce") as one:
        logged_in(one, served, "marit")
        yield one


def until(page: Any, true: str) -> None:
    """Wait for something in the page; Playwright's own waiting needs eval, which the pages forbid."""
    for _ in range(200):
        if page.evaluate(true):
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"never came true: {true}")


def kept(served: Server, code: str) -> Visit:
    with Store.open(served.store) as store:
        return current(store.visit(code))


def of_title(worked: Template, title: str, nth: int) -> Visit:
    return [visit for visit in worked.visits.values() if visit.title == title][nth]


def focused(page: Any) -> str:
    return str(page.evaluate("document.activeElement.id"))


def told(page: Any) -> str:
    """What the live region says, once it says something; a mark is put there first."""
    until(page, "document.getElementById('announce').textContent !== '-'")
    return str(page.inner_text("#announce"))


def press(page: Any, *keys: str) -> str:
    """Press keys; return what is announced for the last."""
    for key in keys[:-1]:
        page.keyboard.press(key)
    page.evaluate("document.getElementById('announce').textContent = '-'")
    page.keyboard.press(keys[-1])
    return told(page)


def reading_of(visit: Visit, id: str) -> Reading:
    return next(one for one in visit.readings if one.id == id)


def opened(page: Any, served: Server, visit: Visit) -> None:
    page.set_viewport_size({"width": 1440, "height": 900})
    page.goto(f"{served.url}/visits/{visit.code}")


def test_from_the_list_along_the_readings_and_back(page: Any, served: Server) -> None:
    page.goto(served.url + "/visits")
    page.keyboard.press("/")
    assert focused(page) == "find"
    page.keyboard.type("jk")
    assert page.input_value("#find") == "jk", "while somebody types, keys are letters"
    page.goto(served.url + "/visits")
    page.keyboard.press("j")
    page.keyboard.press("Enter")
    page.wait_for_url("**/visits/*")
    page.keyboard.press("j")
    first = focused(page)
    page.keyboard.press("j")
    second = focused(page)
    assert first.startswith("r-")
    assert second.startswith("r-")
    assert first != second
    page.keyboard.press("k")
    assert focused(page) == first
    page.keyboard.press("?")
    assert page.is_visible("#keys")
    page.keyboard.press("j")
    page.keyboard.press("Escape")
    assert not page.is_visible("#keys")
    assert focused(page) == first, "the list of keys takes nothing along"
    page.keyboard.press("v")
    assert focused(page).startswith("v-")
    page.keyboard.press("g")
    page.keyboard.press("v")
    page.wait_for_url("**/visits")


def test_a_doubt_is_settled_with_one_key_and_comes_back_with_another(
    page: Any, served: Server, worked: Template
) -> None:
    """``n`` goes to it, ``2`` takes the other value, ``z`` puts it back, ``1`` says it is right; each is announced."""
    visit = of_title(worked, "Shop never gets cool", 1)
    listened = [one for one in visit.readings if one.needs_listening]
    doubted = next(one for one in listened if one.alternatives)
    opened(page, served, visit)
    for one in listened[: listened.index(doubted) + 1]:
        page.keyboard.press("n")
        assert focused(page) == f"r-{one.id}"
    assert "needs listening" in page.get_attribute(f"#r-{doubted.id}", "aria-label")
    assert press(page, "2")
    assert focused(page) == f"r-{doubted.id}", "the focus stays"
    assert reading_of(kept(served, visit.code), doubted.id).value == doubted.alternatives[0].value
    assert press(page, "z")
    now = reading_of(kept(served, visit.code), doubted.id)
    assert (now.value, now.doubts) == (doubted.value, doubted.doubts)
    assert press(page, "1") == "Kept."
    assert not reading_of(kept(served, visit.code), doubted.id).needs_listening
    assert focused(page) == f"r-{doubted.id}"
    for _ in listened[listened.index(doubted) + 1 :]:
        page.keyboard.press("n")
    assert press(page, "n") == "There is no further one."


def test_a_value_is_put_right_with_e_and_enter_and_the_verdict_is_announced(
    page: Any, served: Server, worked: Template
) -> None:
    """The compressor's amps at a hundred times the plate are no longer within limits: the live region says which."""
    visit = of_title(worked, "Shop never gets cool", 2)
    amps = next(r for r in visit.readings if r.unit == "ampere" and r.role == "measured" and not r.needs_listening)
    opened(page, served, visit)
    page.focus(f"#r-{amps.id}")
    page.keyboard.press("e")
    assert page.evaluate("document.activeElement.name") == "value"
    page.keyboard.type("990")
    said = press(page, "Enter")
    assert "Running current against the nameplate" in said
    assert "within" not in said
    assert focused(page) == f"r-{amps.id}"
    assert str(reading_of(kept(served, visit.code), amps.id).value) == "990"
    assert page.evaluate("document.querySelectorAll('.changed-now').length") >= 1


def test_unit_points_and_role_in_a_few_keys(page: Any, served: Server, worked: Template) -> None:
    visit = of_title(worked, "Freezer quit overnight", 1)
    ohms = [r for r in visit.readings if r.unit == "ohm" and r.role == "measured" and not r.needs_listening]
    opened(page, served, visit)
    page.focus(f"#r-{ohms[0].id}")
    page.keyboard.press("u")
    page.keyboard.type("kΩ")
    press(page, "Enter")
    page.keyboard.press("o")
    page.keyboard.type("run, start")
    press(page, "Enter")
    page.keyboard.press("r")
    page.keyboard.type("exp")  # a list goes to what begins like that
    press(page, "Enter")
    now = reading_of(kept(served, visit.code), ohms[0].id)
    assert (now.unit, now.points, now.role.value) == ("kiloohm", ("run", "start"), "expected")
    assert focused(page) == f"r-{ohms[0].id}"
    page.keyboard.press("e")
    page.keyboard.type("77")
    page.keyboard.press("Escape")
    assert focused(page) == f"r-{ohms[0].id}", "what was typed is left"
    assert page.input_value(f"#r-{ohms[0].id} input[name=value]") != "77"
    press(page, "x")
    assert reading_of(kept(served, visit.code), ohms[0].id).withdrawn
    press(page, "x")
    assert not reading_of(kept(served, visit.code), ohms[0].id).withdrawn


def test_p_plays_its_seconds_and_stops(page: Any, served: Server, worked: Template) -> None:
    visit = of_title(worked, "Freezer quit overnight", 2)
    opened(page, served, visit)
    page.keyboard.press("j")
    page.keyboard.press("j")
    start = float(page.get_attribute(f"#{focused(page)} [data-play]", "data-play").split()[1])
    page.keyboard.press("p")
    until(page, "document.querySelector('audio').currentTime > 0 && !document.querySelector('audio').paused")
    assert abs(page.evaluate("document.querySelector('audio').currentTime") - start) < 2.5
    page.keyboard.press("p")
    until(page, "document.querySelector('audio').paused")


def test_a_broken_recording_is_told(page: Any, served: Server, worked: Template) -> None:
    """The page opens, its words are there, and playing says that it cannot be."""
    visit = of_title(worked, "Freezer quit overnight", 5)
    with Store.open(served.store) as store:
        store.sound_path(visit, "r1").write_bytes(b"no sound at all " * 500)
    opened(page, served, visit)
    assert "bled both capacitors" in page.inner_text("main")
    page.keyboard.press("j")
    assert "cannot be played" in press(page, "p")


def test_two_people_at_one_reading_and_a_second_press(page: Any, served: Server, worked: Template) -> None:
    """What somebody else changed meanwhile is shown and announced, nothing is overwritten; a double press is one."""
    visit = of_title(worked, "Quarterly maintenance", 1)
    one = next(r for r in visit.readings if r.unit == "volt" and r.role == "measured" and not r.needs_listening)
    opened(page, served, visit)
    with Store.open(served.store) as store:
        store.correct(visit.code, one.id, {"value": "219"}, by="Ines Okafor", why="read the dial again")
    page.focus(f"#r-{one.id}")
    page.keyboard.press("e")
    page.keyboard.type("199")
    said = press(page, "Enter")
    assert "219 V now" in said
    until(page, f"document.querySelector('#r-{one.id} .figure b')?.textContent === '219'")
    assert str(reading_of(kept(served, visit.code), one.id).value) == "219"
    page.evaluate(
        f"""() => {{ const form = document.querySelector('#r-{one.id} form.stack');
        form.querySelector('[name=value]').value = '218'; form.requestSubmit(); form.requestSubmit(); }}"""
    )
    until(page, f"document.querySelector('#r-{one.id} .figure b')?.textContent === '218'")
    assert [c.after for c in kept(served, visit.code).corrections if c.target == one.id] == ["219", "218"]


def test_back_and_reload_repeat_nothing(page: Any, served: Server, worked: Template) -> None:
    """After signing off, neither reloading nor going back and forth signs off again or shows the old state."""
    visit = of_title(worked, "Quarterly maintenance", 2)
    opened(page, served, visit)
    page.once("dialog", lambda dialog: dialog.accept())
    page.click("#sign-off")
    page.wait_for_selector("text=signed off")
    page.reload()
    page.go_back()
    page.wait_for_selector("h1")
    if page.url.endswith(visit.code):
        assert page.query_selector("#sign-off") is None, "no page of before is kept by the browser"
    page.go_forward()
    page.wait_for_selector("h1")
    with Store.open(served.store) as store:
        assert [line.action for line in store.history(visit.code)].count("signed off") == 1


def test_the_next_one_not_signed_off(page: Any, served: Server, worked: Template) -> None:
    visit = of_title(worked, "Quarterly maintenance", 3)
    opened(page, served, visit)
    page.keyboard.press("g")
    page.keyboard.press("n")
    page.wait_for_url(lambda url: "/visits/" in url and visit.code not in url)
    assert page.query_selector("#sign-off") is not None


def test_a_log_in_that_ended_is_told_and_nothing_is_lost(page: Any, served: Server, worked: Template) -> None:
    visit = of_title(worked, "Freezer quit overnight", 3)
    one = visit.readings[0]
    opened(page, served, visit)
    cookies = page.context.cookies()
    page.context.clear_cookies()
    page.focus(f"#r-{one.id}")
    assert "Log in" in press(page, "x")
    assert not reading_of(kept(served, visit.code), one.id).withdrawn
    page.context.add_cookies(cookies)
    press(page, "x")
    assert reading_of(kept(served, visit.code), one.id).withdrawn


def test_without_the_journal_a_correction_is_told_to_be_lost(page: Any, served: Server, worked: Template) -> None:
    visit = of_title(worked, "Freezer quit overnight", 4)
    opened(page, served, visit)
    page.context.set_offline(True)
    page.focus(f"#r-{visit.readings[0].id}")
    try:
        assert "no connection" in press(page, "x")
    finally:
        page.context.set_offline(False)
    assert not reading_of(kept(served, visit.code), visit.readings[0].id).withdrawn


def test_names_for_those_who_cannot_see(page: Any, served: Server, worked: Template) -> None:
    """Every control and row has a name; the region that announces is there before anything changes, outside of it."""
    visit = of_title(worked, "Shop never gets cool", 3)
    opened(page, served, visit)
    unnamed = page.evaluate(
        """() => [...document.querySelectorAll('button, a[href], input:not([type=hidden]), select, summary, audio')]
          .filter((one) => !(one.ariaLabel || one.getAttribute('aria-label') || one.textContent.trim()
            || one.labels?.length)).map((one) => one.outerHTML.slice(0, 120))"""
    )
    assert unnamed == []
    assert page.evaluate("document.getElementById('announce').getAttribute('role')") == "status"
    assert page.evaluate("!document.getElementById('visit').contains(document.getElementById('announce'))")
    levels = page.evaluate("[...document.querySelectorAll('h1, h2, h3')].map((one) => Number(one.tagName[1]))")
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in itertools.pairwise(levels))
