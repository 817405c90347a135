"""Templates into pages: one environment, escaping everything, with what every page may use."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING, Any

from starlette.requests import Request
from starlette.responses import HTMLResponse

from journal.domain.unit_table import symbol_of
from journal.present.web.access import FIELD, state_of
from journal.present.wording import moment_text

if TYPE_CHECKING:
    from jinja2 import Environment


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
    text: str = environment().get_template(template).render(**values)
    return text


@cache
def environment() -> Environment:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    made = Environment(
        loader=PackageLoader("journal.present.web", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["share"] = lambda value: f"{value * 100:.2f}%"
    made.filters["moment"] = moment_text
    made.filters["symbol"] = symbol_of
    return made


@cache
def record_style() -> str:
    """The look of the record; the pages share it."""
    return resources.files("journal.present").joinpath("templates", "record.css").read_text(encoding="utf-8")
