"""Templates into pages: one environment, escaping everything, with what every page may use."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib import resources
from typing import Any

from starlette.requests import Request
from starlette.responses import HTMLResponse

from journal.present.templating import environment
from journal.present.web.access import FIELD, state_of


def page(request: Request, template: str, code: int = 200, /, **values: Any) -> HTMLResponse:
    """Return a page; ``person``, ``form_token`` and ``here`` are there in every one."""
    session = getattr(request.state, "session", None)
    common = {
        "person": getattr(request.state, "person", None),
        "logs_in": state_of(request).needs_log_in,
        "form_token": session.form_token if session else "",
        "form_field": FIELD,
        "here": request.url.path,
    }
    return HTMLResponse(draw(template, {**common, **values}), code)


def draw(template: str, values: Mapping[str, Any]) -> str:
    """Return a template filled in."""
    text: str = environment("journal.present.web", "journal.present").get_template(template).render(**values)
    return text


@cache
def record_style() -> str:
    """The look of the record; the pages share it."""
    return resources.files("journal.present").joinpath("templates", "record.css").read_text(encoding="utf-8")
