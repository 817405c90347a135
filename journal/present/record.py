"""The record of a visit as one HTML file: nothing is loaded from anywhere, so it can be mailed, printed and kept.

The template draws a ``Page``; all text is escaped by it, and a content security policy forbids everything the file does
not bring along itself.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Collection, Mapping
from importlib import resources
from pathlib import Path

from journal.domain.visit import Visit
from journal.errors import BadInput
from journal.present.compose import page_of, plain_lines
from journal.present.page import Audience, Reader
from journal.present.strip import strips_of
from journal.present.templating import environment

Sound = Path | bytes

#: how files of sound begin, and what a browser calls them
_KINDS = (
    (b"OggS", "audio/ogg"),
    (b"fLaC", "audio/flac"),
    (b"RIFF", "audio/wav"),
    (b"ID3", "audio/mpeg"),
    (b"\xff\xfb", "audio/mpeg"),
    (b"\xff\xf3", "audio/mpeg"),
    (b"\xff\xf2", "audio/mpeg"),
)


def visit_html(
    visit: Visit,
    *,
    audience: Audience = "office",
    sound: Sound | Mapping[str, Sound] | None = None,
    released: Collection[str] = (),
    head: str = "",
) -> str:
    """Return the record of a visit for one audience as a self-contained HTML document.

    ``visit`` is the visit as it stands (``keep.current``).  ``sound`` is put into the document, so that choosing a
    reading plays its seconds: the file of the first recording, or files by the recordings' names.  ``released``: what a
    customer's copy may hold besides; ``head``: the digest of the store, which stands on the copy.  Raises ``BadInput``
    for sound in a customer's copy that was not released, and for sound no browser plays.
    """
    sounds = _sounds(visit, sound)
    page = page_of(visit, audience, released=released, head=head)
    if sounds and not Reader(audience, frozenset(released)).may("sound"):
        raise BadInput("The customer's copy holds no sound; leave the sound out, or release it: --release sound.")
    script = _file("play.js") if sounds else ""
    html: str = (
        environment("journal.present")
        .get_template("record.html.j2")
        .render(
            page=page,
            found=plain_lines(page.found),
            left=plain_lines(page.left),
            strips=strips_of(visit, page, sound=bool(sounds)),
            sounds=sounds,
            style=_file("record.css"),
            script=script,
            script_hash=base64.b64encode(hashlib.sha256(script.encode()).digest()).decode(),
        )
    )
    return html


def _sounds(visit: Visit, sound: Sound | Mapping[str, Sound] | None) -> dict[str, str]:
    """Return data URLs by recording."""
    if sound is None:
        return {}
    if not isinstance(sound, Mapping):
        if not visit.recordings:
            raise BadInput(f"Visit {visit.code} has no recording; leave the sound out.")
        sound = {visit.recordings[0].name: sound}
    return {name: _data_url(one if isinstance(one, bytes) else one.read_bytes()) for name, one in sound.items()}


def _data_url(data: bytes) -> str:
    kind = next((kind for start, kind in _KINDS if data.startswith(start)), None)
    if kind is None and data[4:8] == b"ftyp":
        kind = "audio/mp4"
    if kind is None:
        raise BadInput("This recording is of a kind browsers do not play; make the record without sound.")
    return f"data:{kind};base64,{base64.b64encode(data).decode()}"


def _file(name: str) -> str:
    return resources.files("journal.present").joinpath("templates", name).read_text(encoding="utf-8")
