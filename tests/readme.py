"""The parts of the README that are real output; ``python -m tests.readme`` writes them anew."""

from __future__ import annotations

import contextlib
import io
import os
import re
import sys
from collections.abc import Callable
from pathlib import Path
from unittest import mock

from journal.cli import main as run
from tests.demo_scoring import LISTENERS, figures

README = Path(__file__).resolve().parent.parent / "README.md"
SAID = re.compile(r"^> (.+)$", re.MULTILINE)


def readings() -> str:
    """What the README's spoken sentence comes to, at 80 columns."""
    match = SAID.search(README.read_text(encoding="utf-8"))
    assert match, "the README quotes a spoken sentence"
    out = io.StringIO()
    with (
        contextlib.redirect_stdout(out),
        mock.patch.object(sys, "stdin", io.StringIO(match.group(1))),
        mock.patch.dict(os.environ, {"COLUMNS": "80"}),
    ):
        assert run(["readings", "-"]) == 0
    lines = [line.rstrip() for line in out.getvalue().strip("\n").splitlines()]
    return "\n".join(["```", *lines, "```"]).replace("\n\n```", "\n```")


def demo_figures() -> str:
    """The demo's figures as a table, and every miss by name."""
    rows = [
        "| demo visit | listeners | spoken | right | of these doubted | missed | wrong, doubted | wrong, not doubted |",
        "|---|---|---|---|---|---|---|---|",
    ]
    named = []
    for number, listening in enumerate(LISTENERS, start=1):
        for visit, f in figures()[listening].items():
            counts = [f["spoken"], f["right"], f["right_doubted"]]
            counts += [len(f[key]) for key in ("missed", "wrong_doubted", "wrong_undoubted")]
            rows.append(f"| {visit} | {number} | {' | '.join(map(str, counts))} |")
            if listening == "twice":
                named += [f"- {visit}, missed: {entry}" for entry in f["missed"]]
                named += [f"- {visit}, wrong and not doubted: {entry}" for entry in f["wrong_undoubted"]]
    return "\n".join([*rows, "", "Each miss with both listeners, by name:", "", *named])


PARTS: dict[str, Callable[[], str]] = {"readings": readings, "figures": demo_figures}


def with_parts(text: str) -> str:
    """Return the README's text with each part between its marks made anew."""
    for name, make in PARTS.items():
        pattern = re.compile(rf"(<!-- {name} -->\n).*?(<!-- end -->)", re.DOTALL)
        assert len(pattern.findall(text)) == 1, name
        before, after = pattern.split(text)[0], pattern.split(text)[-1]
        text = f"{before}<!-- {name} -->\n{make()}\n<!-- end -->{after}"
    return text


if __name__ == "__main__":
    README.write_text(with_parts(README.read_text(encoding="utf-8")), encoding="utf-8")
