"""The whole job in a real Chromium: speak, see readings, lose the connection, correct, sign off, export."""

from __future__ import annotations

import importlib.util
import json
import os
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from journal.carried import carried
from journal.keep import Store
from tests.conftest import Require
from tests.web.browser import CHROMIUM, Server, chromium, server, wav_of

CUT = float(os.environ.get("JOURNAL_CUT_SECONDS", "6"))  # the issue of a cut connection is measured with 30
CODE_RATE = 48_000


@pytest.fixture(autouse=True)
def _needs_browser(require: Require) -> None:
    there = bool(CHROMIUM) and importlib.util.find_spec("playwright") is not None
    require("browser", there, "needs chromium (Debian: chromium) and the Python package playwright")


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Server]:
    with server(tmp_path / "store") as one:
        yield one


def begin(page: Any, served: Server, title: str) -> None:
    page.goto(f"{served.url}/capture")
    page.wait_for_selector("body[data-ready]")
    page.fill("input[name=title]", title)
    page.click("#start")
    page.wait_for_selector("#line[data-state=on]")


def until(page: Any, true: str) -> None:
    """Wait for something in the page; Playwright's own waiting needs eval, which the pages forbid."""
    for _ in range(100):
        if page.evaluate(true):
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"never came true: {true}")


def end(page: Any) -> str:
    page.click("#finish")
    page.click("#sure-yes")
    page.wait_for_url("**/visits/*", timeout=240_000)
    return str(page.url.rsplit("/", 1)[1].partition("#")[0])


def problems(page: Any) -> list[str]:
    told: list[str] = []
    page.on("pageerror", lambda error: told.append(str(error)))
    page.on("console", lambda line: told.append(line.text) if "Content Security Policy" in line.text else None)
    return told


def test_the_whole_job(served: Server, tmp_path: Path) -> None:
    """Words and readings appear while a demo recording plays; one is corrected and its verdict changes; signed off."""
    demo = carried("demo", "low-charge", "recording.opus")
    assert demo
    spoken = wav_of(demo, tmp_path / "spoken.wav", silence=1.0, seconds=48)
    with chromium(microphone=spoken) as page:
        told = problems(page)
        begin(page, served, "Split air conditioner")
        page.wait_for_selector("#panel .now .figure", timeout=40_000)
        assert page.inner_text("#heard").strip()
        page.wait_for_timeout(48_000)
        code = end(page)
        assert page.inner_text("h1") == "Split air conditioner"
        judged = page.evaluate(
            """() => [...document.querySelectorAll('[data-verdict]:not(.undetermined)')]
              .map((v) => ({name: v.dataset.verdict, word: v.dataset.word,
                readings: [...v.querySelectorAll('a[href^="#r-"]')].map((a) => a.getAttribute('href'))}))"""
        )
        assert judged, "a recording with amps and their plate gives a verdict"
        judged.sort(key=lambda one: "within" not in one["word"])  # 990 of anything is no longer within
        chosen = next(
            (one["name"], one["word"], row)
            for one in judged
            for row in one["readings"]
            if "plate" not in page.inner_text(f"{row} .place")
        )
        name, word, row = chosen
        page.focus(row)
        page.keyboard.press("e")
        page.fill(f"{row} input[name=value]", "990" if "within" in word else "1")
        page.keyboard.press("Enter")
        until(page, "document.getElementById('announce').textContent.trim() !== ''")
        words = page.evaluate(
            """Object.fromEntries(
              [...document.querySelectorAll('[data-verdict]')].map((v) => [v.dataset.verdict, v.dataset.word]))"""
        )
        assert words.get(name) != word, f"{name} was {word} and still is"
        assert "Put right, 1 changed before" in page.inner_text(row)
        page.on("dialog", lambda dialog: dialog.accept())
        page.click("#sign-off")
        page.wait_for_selector("text=signed off")
        with page.expect_download() as download:
            page.click("text=JSON")
        document = json.loads(Path(download.value.path()).read_text())
        assert document["code"] == code
        assert any(one["field"] == "value" for one in document["corrections"])
        assert page.request.get(f"{served.url}/visits/{code}/export/record.html").ok
        assert told == []


def time_code(path: Path, seconds: int) -> Path:
    """A tone for every second, each higher than the one before: what is missing or out of order shows."""
    import soundfile

    at = np.arange(CODE_RATE) / CODE_RATE
    tones = [0.3 * np.sin(2 * np.pi * (400 + 60 * second) * at) for second in range(seconds)]
    soundfile.write(path, np.concatenate(tones), CODE_RATE, subtype="PCM_16")
    return path


def seconds_heard(samples: np.ndarray[Any, Any], rate: int) -> list[int]:
    """The numbers of the tones in a recording, in order, one for each run."""
    found: list[int] = []
    step = rate // 4
    for first in range(0, len(samples) - step, step):
        part = samples[first : first + step].astype(float)
        if np.sqrt(np.mean(part**2)) < 100:
            continue
        peak = float(np.argmax(np.abs(np.fft.rfft(part * np.hanning(step))))) * rate / step
        number = round((peak - 400) / 60)
        if abs(peak - 400 - 60 * number) <= 8 and (not found or found[-1] != number):
            found.append(number)
    return found


def test_a_cut_connection_loses_no_second(served: Server, tmp_path: Path) -> None:
    """The journal is killed in the middle of speaking and comes back later: the sound is whole and in order."""
    import soundfile

    length = int(CUT) + 14
    with chromium(microphone=time_code(tmp_path / "code.wav", length)) as page:
        begin(page, served, "Time code")
        page.wait_for_timeout(4000)
        served.stop(hard=True)
        page.wait_for_selector("#line[data-state=apart]")
        time.sleep(CUT)
        served.start()
        page.wait_for_selector("#line[data-state=on]", timeout=60_000)
        page.wait_for_timeout(7000)
        code = end(page)
    with Store.open(served.store) as store:
        visit = store.visit(code)
        assert [one.topic for one in visit.notes] == [], "no gap"
        samples, rate = soundfile.read(store.sound_path(visit, "r1"), dtype="int16")
    heard = seconds_heard(samples, rate)
    assert len(heard) >= int(CUT) + 9
    assert heard == list(range(heard[0], heard[0] + len(heard)))


def test_the_page_opens_without_the_journal_and_what_was_spoken_is_sent_later(served: Server, tmp_path: Path) -> None:
    """Opened, spoken and reloaded without a connection; afterwards it is all there, with the gap of the reload."""
    with chromium(microphone=time_code(tmp_path / "code.wav", 40)) as page:
        page.goto(f"{served.url}/capture")
        until(page, "navigator.serviceWorker.controller !== null")
        served.stop()
        page.reload()
        page.wait_for_selector("body[data-ready]")
        page.click("#start")
        page.wait_for_timeout(3000)
        page.on("dialog", lambda dialog: dialog.accept())
        page.reload()
        page.wait_for_selector("body[data-ready]")
        assert "gap" in page.inner_text("#line")
        page.click("#start")
        page.wait_for_timeout(2500)
        served.start()
        page.wait_for_selector("#line[data-state=on]", timeout=60_000)
        code = end(page)
    with Store.open(served.store) as store:
        visit = store.visit(code)
    assert [recording.name for recording in visit.recordings] == ["r1", "r2"]
    assert visit.recordings[0].seconds >= 2.0
    assert visit.recordings[1].seconds >= 2.0
    assert any(note.topic == "gap in the sound" and "closed" in note.text for note in visit.notes)


def test_nothing_is_spoken_by_a_voice_from_elsewhere(served: Server) -> None:
    """Only voices with ``localService`` speak; while one does, chunks are marked so that they are not heard."""
    script = """async () => {
      const said = [];
      const fake = (name, localService) => ({ name, localService, lang: "en-US", default: false, voiceURI: name });
      const voices = [fake("far", false)];
      Object.defineProperty(window, "speechSynthesis", { value: { getVoices: () => voices, cancel() {}, speaking: false,
        pending: false, speak: (one) => said.push(one) }, configurable: true });
      window.SpeechSynthesisUtterance = class { constructor(text) { this.text = text; } };
      const { Voice } = await import("/static/voice.js");
      const voice = new Voice();
      const far = voice.say("one"), markedFar = voice.speaking;
      voices.push(fake("near", true));
      const near = voice.say("two"), marked = voice.speaking;
      said[0].onend();
      const echo = voice.speaking;
      await new Promise((done) => setTimeout(done, 700));
      return { far, markedFar, near, marked, echo, after: voice.speaking, by: said.map((one) => one.voice.name) };
    }"""
    with chromium() as page:
        page.goto(f"{served.url}/capture")
        assert page.evaluate(script) == {
            "far": False, "markedFar": False, "near": True, "marked": True, "echo": True, "after": False, "by": ["near"]
        }  # fmt: skip
