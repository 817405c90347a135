"""``journal demo``: the demo visits, the whole way, into a store of their own."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import TYPE_CHECKING

from journal.carried import carried
from journal.cli.records import write_whole
from journal.errors import BadInput

if TYPE_CHECKING:
    from rich.console import Console

    from journal.hear.second_listener import SecondListener
    from journal.hear.vosk_recogniser import VoskModel
    from journal.pipeline import Rules


def demo_visits() -> list[Path]:
    """Return the folders of the demo visits, each with ``recording.opus``, ``script.txt`` and ``expected.toml``."""
    root = carried("demo")
    folders = sorted(path.parent for path in root.glob("*/expected.toml")) if root else []
    if not folders:
        raise BadInput("This installation carries no demo visits; install it again from the wheel or the checkout.")
    return folders


def run(folder: Path, model: VoskModel, second: SecondListener | None, rules: Rules, console: Console) -> int:
    """Hear every demo visit into a store in ``folder``, show what came out, and write each record beside the store."""
    from journal.cli.hearing import progress_bar
    from journal.keep import Store
    from journal.pipeline import Frame, ingest
    from journal.present.record import visit_html
    from journal.present.terminal import show_outcome

    records = folder / "records"
    written = []
    with Store.open(folder) as store:
        for visit_folder in demo_visits():
            about = tomllib.loads((visit_folder / "expected.toml").read_text(encoding="utf-8"))
            frame = Frame(about["title"], about["technician"], about["site"])
            with progress_bar(quiet=False) as progress:
                recording = visit_folder / "recording.opus"
                visit = ingest(
                    [recording], store=store, model=model, second=second, rules=rules, frame=frame, progress=progress
                )
            show_outcome(console, visit)
            records.mkdir(exist_ok=True)
            out = records / f"{visit_folder.name}.html"
            write_whole(out, visit_html(visit, sound=store.sound_path(visit, visit.recordings[0].name)))
            written.append(out)
    console.print("\nThe records, with their sound:")
    for out in written:
        console.print(f"  {out}", soft_wrap=True)
    console.print(f"More of them: journal visits --store {folder}", soft_wrap=True)
    return 0
