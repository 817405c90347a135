"""Commands that listen: ``ingest``, ``transcribe``, ``demo``, ``models``."""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from journal.cli.options import (
    Commands,
    add_json_option,
    add_model_option,
    add_store_options,
    console,
    frame_of,
    open_store,
    print_json,
    rules_of,
    settings_of,
)
from journal.config import load_settings, own_models
from journal.errors import BadInput

if TYPE_CHECKING:
    from journal.domain.speech import Utterance
    from journal.hear.model_files import ModelInfo
    from journal.hear.second_listener import SecondListener
    from journal.hear.vosk_recogniser import VoskModel
    from journal.hearing import Progress


def add_commands(commands: Commands[argparse.ArgumentParser]) -> None:
    demo = commands.add_parser("demo", help="hear the demo visits, the whole way into a store of their own")
    demo.add_argument("--store", type=Path, metavar="FOLDER", help="where to put it (else a fresh folder)")
    add_model_option(demo)
    demo.set_defaults(run=run_demo)

    ingest = commands.add_parser("ingest", help="recordings become a visit: heard, judged, stored")
    ingest.add_argument(
        "files", nargs="+", type=Path, metavar="FILE", help="WAV, FLAC, Ogg, Opus or MP3 (M4A, MP4: extra [media])"
    )
    ingest.add_argument("--each", action="store_true", help="one visit for each file, instead of one for all")
    ingest.add_argument("--title", default="", help="what the visit is called")
    ingest.add_argument("--technician", help="who speaks")
    ingest.add_argument("--site", help="where the equipment stands")
    ingest.add_argument(
        "--started",
        metavar="WHEN",
        help="when the first recording began, e.g. 2026-03-02T08:15 (local) or with an offset",
    )
    add_model_option(ingest)
    add_store_options(ingest)
    add_json_option(ingest)
    ingest.set_defaults(run=run_ingest)

    transcribe = commands.add_parser("transcribe", help="a recording becomes timestamped text, nothing is stored")
    transcribe.add_argument("file", type=Path, metavar="FILE")
    transcribe.add_argument(
        "-f", "--format", choices=("text", "json", "vtt"), default="text", help="text is the default"
    )
    add_model_option(transcribe)
    transcribe.add_argument("--settings", type=Path, metavar="FILE", help=argparse.SUPPRESS)
    transcribe.set_defaults(run=run_transcribe)

    models = commands.add_parser("models", help="list, verify and add speech models; none is ever downloaded")
    models.add_argument(
        "do", nargs="?", choices=("list", "verify", "add"), default="list", help="'list' is the default"
    )
    models.add_argument("what", nargs="?", metavar="NAME|FOLDER|ZIP", help="what to verify, or to add")
    models.add_argument("--name", help="what the added model is called")
    add_json_option(models)
    models.set_defaults(run=run_models)


def run_ingest(arguments: argparse.Namespace) -> int:
    from journal.pipeline import ingest
    from journal.present.export import visit_json
    from journal.present.terminal import show_outcome

    settings = settings_of(arguments)
    frame = frame_of(arguments, settings)
    groups = [[file] for file in arguments.files] if arguments.each else [arguments.files]
    for file in arguments.files:
        _look_at(file)
    model = load_model(arguments.model or settings.model)
    second = load_second_listener(settings.second_listener)
    rules = rules_of(settings)
    visits = []
    with open_store(settings, create=True) as store:
        for group in groups:
            with progress_bar(quiet=arguments.json) as progress:
                visit = ingest(
                    group, store=store, model=model, second=second, rules=rules, frame=frame, progress=progress
                )
            visits.append(visit)
            if not arguments.json:
                show_outcome(console(), visit)
    if arguments.json:
        documents = [visit_json(visit) for visit in visits]
        print_json(documents if arguments.each else documents[0])
    return 0


def run_transcribe(arguments: argparse.Namespace) -> int:
    from journal.hear.audio import probe
    from journal.hear.vosk_recogniser import transcribe
    from journal.present.export import utterances_json, utterances_vtt

    sound = probe(arguments.file)
    model = load_model(arguments.model or settings_of(arguments).model)
    if arguments.format == "text":
        for utterance in transcribe(arguments.file, model):
            print(f"{_clock(utterance.start)}  {utterance.text}", flush=True)
        return 0
    heard: list[Utterance] = []
    with progress_bar(quiet=not sys.stderr.isatty()) as progress:
        for utterance in transcribe(
            arguments.file, model, progress=lambda s: progress(arguments.file, s, sound.seconds)
        ):
            heard.append(utterance)
    if arguments.format == "json":
        print_json(utterances_json(heard))
    else:
        print(utterances_vtt(heard), end="")
    return 0


def run_models(arguments: argparse.Namespace) -> int:
    from journal.hear.adding import add
    from journal.hear.model_files import find_model, list_models

    if arguments.do != "list" and not arguments.what:
        raise BadInput(f"Say which model: journal models {arguments.do} NAME, a folder or a zip.")
    if arguments.do == "verify":
        found = find_model(arguments.what, own_models())
        found.verify()
        known = "every file is what its manifest says" if found.has_manifest else "complete, but without a manifest"
        print(f"{found.name}: {known}.")
        return 0
    if arguments.do == "add":
        added = add(Path(arguments.what).expanduser(), own_models(), arguments.name)
        print(f"{added.name} is added: {_how_to_choose(added)}.")
        return 0
    models = list_models(own_models())
    if arguments.json:
        shown = ("name", "kind", "path", "state", "origin", "licence")
        print_json([{key: str(getattr(model, key)) for key in shown} for model in models])
        return 0
    from rich.table import Table

    table = Table("name", "kind", "state", "words", "licence", "origin", box=None, pad_edge=False)
    for model in models:
        table.add_row(model.name, model.kind, model.state, str(model.words or ""), model.licence, model.origin)
    console().print(table)
    return 0


def _how_to_choose(model: ModelInfo) -> str:
    if model.kind == "whisper":
        return f'it listens second with second_listener = "{model.name}" in the settings'
    return f'--model {model.name}, or model = "{model.name}" in the settings'


def run_demo(arguments: argparse.Namespace) -> int:
    import tempfile

    from journal.cli.demo import run

    store = arguments.store or Path(tempfile.mkdtemp(prefix="journal-demo-"))
    settings = load_settings(store=store)
    second = load_second_listener(settings.second_listener)
    return run(store, load_model(arguments.model), second, rules_of(settings), console())


def load_model(name: str | None) -> VoskModel:
    """Find, verify and load a speech model; only what holds an unsure number is heard again for alternatives."""
    from journal.hear.model_files import find_model
    from journal.hear.vosk_recogniser import VoskModel
    from journal.interpret.document import worth_hearing_again

    return VoskModel(find_model(name, own_models()), again=worth_hearing_again)


def load_second_listener(choice: str) -> SecondListener | None:
    """Load the second listener.

    ``auto`` takes it when installed, ``off`` leaves it out; else the name of an added whisper model, or a folder.
    """
    from journal.hear.second_listener import SecondListener, find_whisper
    from journal.interpret.prompt import listening_prompt

    if choice == "off":
        return None
    folder = find_whisper(None if choice == "auto" else choice, own_models())
    return SecondListener(folder, prompt=listening_prompt()) if folder else None


@contextmanager
def progress_bar(*, quiet: bool) -> Iterator[Progress]:
    """Show how far the hearing has come, on the error stream, so that output stays clean."""
    if quiet:
        yield lambda file, heard, total: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TaskID, TextColumn, TimeRemainingColumn

    columns = (
        TextColumn("hearing {task.description}"),
        BarColumn(),
        TextColumn("{task.percentage:>3.0f} %"),
        TimeRemainingColumn(),
    )
    last: dict[str, float] = {}
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        tasks: dict[Path, TaskID] = {}

        def report(file: Path, heard: float, total: float) -> None:
            if file not in tasks:
                tasks[file] = bar.add_task(file.name, total=total)
            if time.monotonic() - last.get("shown", 0.0) > 0.1 or heard >= total:
                last["shown"] = time.monotonic()
                bar.update(tasks[file], completed=heard)

        yield report


def _look_at(file: Path) -> None:
    from journal.hear.audio import probe

    probe(file)


def _clock(seconds: float) -> str:
    minutes, rest = divmod(seconds, 60)
    return f"{int(minutes):02d}:{rest:05.2f}"
