"""The record of a visit as PDF: the same page as the HTML record, set by Typst.

Typst gets the page as JSON and reads none of it as markup.  The extra ``[pdf]`` brings it.
"""

from __future__ import annotations

import dataclasses
import json
import re
from collections.abc import Collection
from decimal import Decimal
from importlib import resources
from typing import Any, Literal

from journal.domain.visit import Visit
from journal.errors import BadInput
from journal.present.compose import page_of, plain_lines
from journal.present.page import Audience
from journal.present.strip import strips_of
from journal.present.wording import printable

Paper = Literal["a4", "letter"]
_LONG = re.compile(r"\S{24}(?=\S{8})")
_MAY_BREAK = "\N{ZERO WIDTH SPACE}"
_PAPERS = {"a4": "a4", "letter": "us-letter"}


def visit_pdf(
    visit: Visit,
    *,
    audience: Audience = "office",
    paper: Paper = "a4",
    released: Collection[str] = (),
    head: str = "",
) -> bytes:
    """Return the record of a visit as it stands (``keep.current``) as a PDF document.

    The arguments are those of ``visit_html``; a PDF holds no sound.  Raises ``BadInput`` without the extra ``[pdf]``.
    """
    try:
        import typst
    except ModuleNotFoundError:
        raise BadInput(
            "A PDF needs the extra [pdf]: pip install 'visit-journal[pdf]'; or print the HTML record from a browser."
        ) from None
    page = page_of(visit, audience, released=released, head=head)
    data = {
        "page": _plain(page),
        "found": _plain(plain_lines(page.found)),
        "left": _plain(plain_lines(page.left)),
        "strips": _plain(strips_of(visit, page)),
        "copy": {"customer": "Customer’s copy"}.get(audience, "Record"),
    }
    template = resources.files("journal.present").joinpath("templates", "record.typ").read_bytes()
    inputs = {"data": json.dumps(data, ensure_ascii=False), "paper": _PAPERS[paper]}
    document = typst.compile(template, format="pdf", sys_inputs=inputs)
    assert isinstance(document, bytes)
    return document


def _plain(value: Any) -> Any:
    """Return lines and pages as what JSON knows; ``amount`` and ``doubtful`` of a reading go with it."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        fields = {field.name: _plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
        extra = ("amount", "doubtful", "typed", "described")
        return fields | {name: _plain(getattr(value, name)) for name in extra if hasattr(value, name)}
    if isinstance(value, list | tuple):
        return [_plain(part) for part in value]
    if isinstance(value, Decimal):
        return str(value)
    return _breakable(printable(value)) if isinstance(value, str) else value


def _breakable(text: str) -> str:
    """Let a word that is longer than a column break; the page has no room beside it."""
    return _LONG.sub(lambda found: found[0] + _MAY_BREAK, text)
