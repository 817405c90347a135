"""What hearing costs: real-time factor and memory of ``journal ingest`` on ten minutes of sound, and start-up of help.

    taskset -c 0 python -m tests.benchmarks.bench_ingest [--minutes 10]

Each figure is taken in a process of its own, so that peak memory is that of the one command.  Machines are noisy:
compare figures of one run only.
"""

from __future__ import annotations

import argparse
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import soundfile

from journal.hear.audio import SAMPLE_RATE, chunks
from tests.demo_scoring import load_demo


def long_recording(folder: Path, minutes: float) -> Path:
    """The demo recordings end to end, again and again, up to so many minutes."""
    path = folder / "long.flac"
    wanted = int(minutes * 60 * SAMPLE_RATE)
    with soundfile.SoundFile(path, "w", SAMPLE_RATE, 1, "PCM_16") as file:
        written = 0
        while written < wanted:
            for visit in load_demo():
                for chunk in chunks(visit.recording):
                    part = np.asarray(chunk[: max(0, wanted - written)])
                    file.write(part)
                    written += len(part)
    return path


def run(*arguments: str, settings: Path) -> tuple[float, float, float]:
    """Run one command; return wall seconds, CPU seconds and peak memory in MiB."""
    environment = {**os.environ, "JOURNAL_SETTINGS": str(settings)}
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    begun = time.monotonic()
    child = subprocess.Popen([sys.executable, "-m", "journal", *arguments], env=environment, stdout=subprocess.DEVNULL)
    _, status, usage = os.wait4(child.pid, 0)
    assert status == 0, arguments
    wall = time.monotonic() - begun
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return wall, cpu, usage.ru_maxrss / 1024


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--minutes", type=float, default=10.0)
    minutes = options.parse_args().minutes
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        recording = long_recording(folder, minutes)
        print(f"{minutes:g} minutes of sound")
        print("| listeners | wall s | CPU s | CPU s per s of sound | peak MiB |")
        print("|---|---|---|---|---|")
        for listeners, setting in (("one", "off"), ("two", "auto")):
            settings = folder / f"{setting}.toml"
            settings.write_text(f'second_listener = "{setting}"\n', encoding="utf-8")
            store = str(folder / listeners)
            wall, cpu, memory = run("ingest", str(recording), "--store", store, "--json", settings=settings)
            print(f"| {listeners} | {wall:.0f} | {cpu:.0f} | {cpu / minutes / 60:.3f} | {memory:.0f} |")
        times = [run("--help", settings=folder / "off.toml")[0] for _ in range(7)]
        print(f"journal --help: median {statistics.median(times):.3f} s of {len(times)}")


if __name__ == "__main__":
    main()
