"""One copy of a visit in the asked form, for the asked reader; what ``journal export`` writes."""

from __future__ import annotations

import argparse
import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from journal.errors import BadInput, NotFound

if TYPE_CHECKING:
    from journal.domain.visit import Visit
    from journal.keep import Store


@dataclass(frozen=True, slots=True)
class Copy:
    """One copy to be made: the visit as it stands, for whom, and the store's digest that stands on it."""

    store: Store
    visit: Visit
    arguments: argparse.Namespace
    head: str

    @property
    def customer(self) -> bool:
        return bool(self.arguments.audience == "customer")

    @property
    def released(self) -> frozenset[str]:
        return frozenset(self.arguments.release)


def bundle(copy: Copy, out: Path) -> int:
    """Write a bundle with its pages and captions, and print where it is."""
    from journal.present.export import visit_vtt
    from journal.present.record import visit_html

    if copy.customer:
        raise BadInput("A bundle is for another journal and holds everything; a customer gets html or pdf.")
    if str(out) == "-":
        raise BadInput("A bundle is a file: name it with -o FILE.zip.")
    extras = {
        "record.html": visit_html(copy.visit, head=copy.head).encode(),
        "narration.vtt": visit_vtt(copy.visit, head=copy.head).encode(),
    }
    print(copy.store.export_bundle(copy.visit.code, out, extras))
    return 0


def record_release(copy: Copy, content: str | bytes, by: str) -> None:
    """Write down what a customer's copy lets out, before it leaves."""
    data = content.encode("utf-8") if isinstance(content, str) else content
    digest = hashlib.sha256(data).hexdigest()
    copy.store.record_release(copy.visit.code, copy.released, form=copy.arguments.format, sha256=digest, by=by)


def _html(copy: Copy) -> str:
    from journal.present.record import visit_html

    sounds = None
    if copy.arguments.with_sound:
        if not copy.visit.recordings:
            raise NotFound(f"Visit {copy.visit.code} has no recording to put into its record.")
        sounds = {r.name: copy.store.sound_path(copy.visit, r.name) for r in copy.visit.recordings}
    return visit_html(
        copy.visit, audience=copy.arguments.audience, sound=sounds, released=copy.released, head=copy.head
    )


def _pdf(copy: Copy) -> bytes:
    from journal.present.pdf import visit_pdf

    about = copy.arguments
    return visit_pdf(copy.visit, audience=about.audience, paper=about.paper, released=copy.released, head=copy.head)


def _json(copy: Copy) -> str:
    from journal.present.export import handed_on, json_text

    return json_text(handed_on(_theirs(copy), head=copy.head, missing=not copy.customer)) + "\n"


def _csv(copy: Copy) -> str:
    from journal.present.export import readings_csv

    return readings_csv(_theirs(copy), copy.head)


def _vtt(copy: Copy) -> str:
    from journal.present.export import visit_vtt

    if copy.customer and "transcript" not in copy.released:
        raise BadInput("Captions are the transcript, and a customer's copy holds none: add --release transcript.")
    return visit_vtt(copy.visit, head=copy.head)


def _theirs(copy: Copy) -> Visit:
    from journal.present.customer import customers_visit

    return customers_visit(copy.visit, copy.released) if copy.customer else copy.visit


#: form -> what makes its content
MAKERS: dict[str, Callable[[Copy], str | bytes]] = {
    "html": _html, "pdf": _pdf, "json": _json, "csv": _csv, "vtt": _vtt,
}  # fmt: skip
