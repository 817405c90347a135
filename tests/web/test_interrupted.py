"""A device that takes the microphone away while somebody speaks: the gap stands in the record, with its times."""

from __future__ import annotations

import re
from pathlib import Path

from journal.keep import Store
from tests.web.browser import Server, chromium
from tests.web.test_browser import _needs_browser, begin, end, served, time_code  # noqa: F401

WRAP = """const real = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
navigator.mediaDevices.getUserMedia = async (wanted) => (window.taken = await real(wanted));"""
TELL = "(kind) => window.taken.getAudioTracks()[0].dispatchEvent(new Event(kind))"


def test_muted_and_unplugged_are_gaps(served: Server, tmp_path: Path) -> None:  # noqa: F811
    with chromium(microphone=time_code(tmp_path / "code.wav", 60)) as page:
        page.add_init_script(WRAP)
        begin(page, served, "Interrupted")
        page.wait_for_timeout(2500)
        page.evaluate(TELL, "mute")
        page.wait_for_selector("#line[data-state=trouble]")
        page.wait_for_timeout(4000)
        page.evaluate(TELL, "unmute")
        page.wait_for_selector("#line[data-state=on]")
        page.wait_for_timeout(2500)
        page.evaluate(TELL, "ended")
        page.wait_for_selector("#line[data-state=trouble]")
        page.wait_for_timeout(3000)
        page.click("#start")
        page.wait_for_selector("#line[data-state=on]")
        page.wait_for_timeout(2500)
        code = end(page)
    with Store.open(served.store) as store:
        visit = store.visit(code)
    assert len(visit.recordings) >= 3
    assert sum(recording.seconds for recording in visit.recordings) > 4
    gaps = [note.text for note in visit.notes if note.topic == "gap in the sound"]
    for why, least in (("the microphone was muted", 3), ("the microphone was taken away", 2)):
        (told,) = [text for text in gaps if why in text]
        times = re.fullmatch(r"No sound from ([\d:]{8}) to ([\d:]{8}) UTC \((\d+) s\): .*", told)
        assert times
        assert int(times[3]) >= least
