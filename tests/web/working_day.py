"""A store like an office has in the evening: forty visits of three invented technicians, made from the demo's scripts.

The words are the demo's; some numbers differ from visit to visit, so that machines seen several times have a history.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path

import numpy as np
from num2words import num2words

from journal.carried import carried
from journal.domain.reading import Alternative, Doubt, Reading
from journal.domain.visit import Equipment, Field, Visit
from journal.hear.sound_file import write_flac
from journal.keep import Store
from journal.pipeline import Frame, Rules, compose, understand
from tests.builders import a_recording, an_utterance

SECONDS = 4  # from one sentence to the next
TECHNICIANS = ("Ines Okafor", "Sefa Lindqvist", "Tomas Brandt-Ruiz")
#: script, title, machine, and the sites in which one stands
MACHINES = (
    ("low-charge", "Shop never gets cool", "air conditioner", ("Alder Street Deli", "Fern & Sons", "Copper Print")),
    ("cooler-maintenance", "Quarterly maintenance", "walk-in cooler", ("Quillwort Bakery", "Harbour Lane Fish")),
    ("grounded-compressor", "Freezer quit overnight", "walk-in freezer", ("Quillwort Bakery", "Brannoc School")),
)  # fmt: skip


def script_of(name: str) -> list[str]:
    path = carried("demo", name, "script.txt")
    assert path is not None
    return [line.strip() for line in path.read_text(encoding="utf-8").splitlines() if line.strip()]


def spoken(sentences: list[str], n: int) -> list[str]:
    """The sentences of the ``n``-th visit: some numbers creep."""
    creeping = {
        "compressor's pulling nine point six amps": f"compressor's pulling {_words(9.6 + n * 0.15)} amps",
        "legs are seven point one seven point two and seven point three amps": f"legs are {_words(7.1 + n * 0.1)}"
        f" {_words(7.2 + n * 0.1)} and {_words(7.3 + n * 0.1)} amps",
        "box is at thirty six": f"box is at {_words(36 + n % 3)}",
    }
    return [creeping.get(sentence, sentence) for sentence in sentences]


def _words(number: float) -> str:
    return str(num2words(round(number, 1) if number % 1 else int(number))).replace("-", " ").replace(" and ", " ")


def a_day(store: Store, sound: Path, *, visits: int = 40, until: dt.date = dt.date(2026, 11, 24)) -> list[Visit]:
    """Put ``visits`` visits into a store, twenty of them on the last day; every fifth is signed off."""
    write_flac(sound, [np.zeros(16000, dtype=np.int16)] * 60)
    made = []
    for n in range(visits):
        script, title, machine, sites = MACHINES[n % len(MACHINES)]
        site = sites[(n // len(MACHINES)) % len(sites)]
        back = 0 if n >= visits - 20 else (visits - n) * 9
        moment = dt.datetime.combine(until - dt.timedelta(days=back), dt.time(7 + n % 10, 10 * (n % 6)), dt.UTC)
        frame = Frame(title, TECHNICIANS[n % 7 % 3], site, moment.isoformat(), (Equipment(machine),))
        made.append(_stored(store, sound, frame, spoken(script_of(script), n), n))
        if n % 5 == 0:
            store.sign_off(made[-1].code, by="Marit Adeyemi")
    return made


def _stored(store: Store, sound: Path, frame: Frame, sentences: list[str], n: int) -> Visit:
    utterances = [an_utterance(text, at=float(SECONDS * k), index=k) for k, text in enumerate(sentences)]
    recording = replace(a_recording(seconds=60.0), sha256="", file="", started=frame.started, started_from="given")
    understood = understand(utterances, equipment=frame.equipment, rules=Rules())
    visit = compose(frame, [recording], utterances, understood)
    readings = tuple(_doubted(r) if k == n % 4 + 3 else r for k, r in enumerate(visit.readings))
    return store.add_visit(replace(visit, readings=readings, fields=_facts(n)), {"r1": sound})


def _doubted(reading: Reading) -> Reading:
    if reading.value is None:
        return reading
    other = Alternative(reading.value * 10, reading.unit, reading.kind, None, "a decimal point may be missing")
    return replace(reading, doubts=(Doubt("far", "the number is unusual here"),), alternatives=(other,))


def _facts(n: int) -> tuple[Field, ...]:
    facts = [("work order", f"WO-{2200 + n}"), ("arrived", "08:10"), ("left", "10:45")]
    if n % 3 == 0:
        facts += [("quoted", "compressor, 1,900 dollars"), ("part from", "truck")]
    if n % 4 == 1:
        facts += [("declined", "new door gasket"), ("labour kind", "emergency")]
    return tuple(Field(name, value) for name, value in facts)
