"""Exports, history and refrigerant log as a person would type them."""

from __future__ import annotations

import csv
import io
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from tests.cli.running import run

Typed = tuple[Path, str]


def head(typed: Typed) -> str:
    return str(run("verify", "--store", typed[0], "--json").json()["head"])


def test_every_format_is_written_and_carries_the_digest(
    typed: Typed, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pytest.importorskip("typst", reason="needs the extra [pdf]")
    monkeypatch.chdir(tmp_path)
    digest = head(typed)
    for form, ending in (
        ("html", "html"),
        ("json", "json"),
        ("csv", "csv"),
        ("vtt", "vtt"),
        ("pdf", "pdf"),
        ("bundle", "zip"),
    ):
        ran = run("export", typed[1], "-f", form, "--store", typed[0])
        assert ran.code == 0, ran.err
        file = tmp_path / f"{typed[1]}.{ending}"
        assert Path(ran.out.strip()).name == file.name
        if form in ("html", "json", "csv", "vtt"):
            assert digest in file.read_text(encoding="utf-8")
    with zipfile.ZipFile(tmp_path / f"{typed[1]}.zip") as bundle:
        assert any(digest in bundle.read(name).decode("utf-8", "replace") for name in bundle.namelist())
    assert (tmp_path / f"{typed[1]}.pdf").read_bytes().startswith(b"%PDF")
    assert run("verify", "--against", digest, "--store", typed[0]).code == 0, "looking and exporting change nothing"


def test_a_customers_copy_in_every_form(typed: Typed) -> None:
    for form in ("html", "json", "csv"):
        out = run("export", typed[1], "-f", form, "--for", "customer", "-o", "-", "--store", typed[0]).out
        assert "gate code" not in out
        assert "stamped" not in out
        assert "36.5" in out
    assert run("export", typed[1], "-f", "vtt", "--for", "customer", "-o", "-", "--store", typed[0]).code == 2
    assert run("export", typed[1], "-f", "bundle", "--for", "customer", "--store", typed[0]).code == 2
    words = ("--for", "customer", "--release", "transcript", "-o", "-", "--store", typed[0])
    assert "gate code" in run("export", typed[1], *words).out
    assert run("export", typed[1], "--release", "transcript", "-o", "-", "--store", typed[0]).code == 2


def test_what_is_handed_on_is_the_visit_as_it_stands(typed: Typed) -> None:
    assert run("correct", typed[1], "1", "value=41", "--why", "x", "--store", typed[0]).code == 0
    for form in ("html", "csv", "json"):
        assert "41" in run("export", typed[1], "-f", form, "-o", "-", "--store", typed[0]).out
    rows = csv.DictReader(
        io.StringIO(run("export", typed[1], "-f", "csv", "-o", "-", "--store", typed[0]).out.removeprefix("\ufeff"))
    )
    assert next(iter(rows))["value"] == "41"


def test_refrigerant_log(typed: Typed, tmp_path: Path) -> None:
    out = run("refrigerant-log", "--since", "2026-01-01", "--store", typed[0]).out
    for words in ("added 2 lb", "R-448A", "full charge", "regulation in force at the place"):
        assert words in " ".join(out.split())
    document = run("refrigerant-log", "--since", "2026-01-01", "--json", "--store", typed[0]).json()
    (movement,) = document["movements"]
    assert (movement["action"], movement["pounds"], movement["demanded"]) == ("added", 2, "perhaps")
    assert document["head"] == head(typed)
    assert run("refrigerant-log", "--since", "2026-01-01", "--csv", tmp_path / "log.csv", "--store", typed[0]).code == 0
    assert len((tmp_path / "log.csv").read_text(encoding="utf-8").splitlines()) == 2
    for words in (("--until", "2026-01-31"), ("--site", "nowhere")):
        ran = run("refrigerant-log", "--since", "2026-01-01", *words, "--store", typed[0])
        assert ran.code == 0
        assert "No refrigerant was added" in ran.out


def test_history_as_picture_and_page(typed: Typed, tmp_path: Path) -> None:
    svg, page = tmp_path / "h.svg", tmp_path / "h.html"
    ran = run("history", "--serial", "QX7704", "--svg", svg, "--html", page, "--store", typed[0])
    assert ran.code == 0, ran.err
    assert ran.out.split() == [str(svg), str(page)]
    assert svg.read_text(encoding="utf-8").startswith("<svg")
    assert "36.5 µF" in page.read_text(encoding="utf-8")
    assert run("history", typed[1], "--points", "run-common", "--store", typed[0]).out.count("1.4 Ω") == 1


def test_no_line_is_wider_than_eighty_columns(typed: Typed, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    commands = (("show", typed[1]), ("correct", typed[1]), ("fill", typed[1]), ("visits",), ("history", typed[1]))
    for command in (*commands, ("refrigerant-log", "--since", "2026-01-01")):
        out = run(*command, "--store", typed[0]).out
        assert out.strip()
        assert max(len(line) for line in out.splitlines()) <= 80, command


def journal(*arguments: str, **environment: str) -> subprocess.CompletedProcess[bytes]:
    root = Path(__file__).resolve().parents[2]
    return subprocess.run(
        [sys.executable, "-m", "journal", *arguments],
        capture_output=True,
        check=False,
        cwd=root,
        env={**os.environ, "COLUMNS": "80", **environment},
    )


def test_a_terminal_without_the_signs_of_the_trade_spells_them(typed: Typed) -> None:
    ran = journal("show", typed[1], "--store", str(typed[0]), PYTHONIOENCODING="ascii", PYTHONUTF8="0")
    assert ran.returncode == 0, ran.stderr
    text = ran.stdout.decode("ascii")
    assert "36.5 uF" in text
    assert "1.4 ohm" in text
    exported = journal(
        "export", typed[1], "-o", "-", "--store", str(typed[0]), PYTHONIOENCODING="ascii", PYTHONUTF8="0"
    )
    assert "µF" in exported.stdout.decode("utf-8"), "a file is UTF-8, whatever the terminal speaks"


def test_tab_completes_commands_and_codes(typed: Typed, tmp_path: Path) -> None:
    pytest.importorskip("argcomplete")
    out = tmp_path / "completions"

    def tab(line: str) -> str:
        ran = journal(
            _ARGCOMPLETE="1",
            _ARGCOMPLETE_STDOUT_FILENAME=str(out),
            _ARGCOMPLETE_IFS="\n",
            COMP_LINE=line,
            COMP_POINT=str(len(line)),
            JOURNAL_STORE=str(typed[0]),
        )
        assert ran.stderr == b""
        return out.read_text(encoding="utf-8")

    assert "refrigerant-log" in tab("journal refr")
    assert typed[1] in tab(f"journal show {typed[1][:2]}")
    assert tab("journal show 000") == ""
