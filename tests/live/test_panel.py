"""What the page shows of a capture: a question with what it offers, and what the second listener has before it."""

from __future__ import annotations

from journal.hear.scripted import ScriptedRecogniser
from journal.keep import Store
from journal.present.web.capture import panel_html
from tests.live.test_capture import Begin, ask_script, begin, hear, store, wait  # noqa: F401
from tests.live.test_second import COIL, Patient
from tests.live.test_second import begin as begin_with


def test_a_question_is_answered_by_touching_a_value(begin: Begin) -> None:  # noqa: F811
    _, capture, _ = begin(listener=lambda name: ScriptedRecogniser(ask_script("")[:1]))
    hear(capture, 5.0)
    wait(lambda: capture.snapshot.question is not None)
    html = panel_html(capture)
    assert 'data-answer="keep"' in html.partition("50 ohms")[0]
    assert 'data-answer="change"' in html.partition("15 ohms <span")[0]
    assert html.index("50 ohms <span") < html.index("15 ohms <span")


def test_what_the_second_listener_has_before_it_is_told(store: Store) -> None:  # noqa: F811
    second = Patient({})
    captures, capture, _ = begin_with(store, [(1.0, COIL)], second)
    hear(capture, 5.0)
    assert "The second listener has 1 more to hear." in panel_html(capture)
    second.let()
    wait(lambda: capture.snapshot.behind == 0)
    assert "more to hear" not in panel_html(capture)
    captures.close()
