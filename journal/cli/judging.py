"""Commands that need no sound and no store: ``readings`` and ``check``."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from journal.cli.options import Commands, add_json_option, console, print_json, rules_of, settings_of
from journal.errors import BadInput


def add_commands(commands: Commands[argparse.ArgumentParser]) -> None:
    readings = commands.add_parser("readings", help="typed or transcribed narration becomes readings and verdicts")
    readings.add_argument(
        "source", nargs="?", metavar="FILE|-", help="text, one utterance a line; '-' reads what is typed or piped in"
    )
    readings.add_argument("--units", action="store_true", help="list the units with their codes, and read nothing")
    readings.add_argument(
        "--explain", action="store_true", help="show which words became which part, and by which rule"
    )
    readings.add_argument("--settings", type=Path, metavar="FILE", help="settings in TOML (else JOURNAL_SETTINGS)")
    add_json_option(readings)
    readings.set_defaults(run=run_readings)

    check = commands.add_parser(
        "check",
        help="one check on numbers given by hand; without a name, the list of checks",
        description="journal check NAME --measured 41.2uF --marked 45uF prints the verdict with its arithmetic.",
    )
    check.add_argument("name", nargs="?", metavar="NAME")
    check.add_argument("--limits", action="store_true", help="list the limits that the settings may change")
    check.add_argument("--settings", type=Path, metavar="FILE", help="settings in TOML (else JOURNAL_SETTINGS)")
    add_json_option(check)
    check.add_argument("values", nargs=argparse.REMAINDER, metavar="--WHAT VALUE", help="the values the check needs")
    check.set_defaults(run=run_check)


def run_readings(arguments: argparse.Namespace) -> int:
    from journal.domain.speech import utterance_of
    from journal.interpret import explain
    from journal.pipeline import understand
    from journal.present.export import readings_json
    from journal.present.terminal import show_understanding

    if arguments.units:
        return _units(arguments.json)
    if arguments.source is None:
        raise BadInput("Name a text file, or '-' to type or pipe the narration in: journal readings FILE.")
    lines = [line for line in _text_of(arguments.source).splitlines() if line.strip()]
    utterances = [utterance_of(line, index=index) for index, line in enumerate(lines)]
    if arguments.explain:
        for step in explain(utterances):
            print(step)
        return 0
    understanding = understand(utterances, rules=rules_of(settings_of(arguments)))
    if arguments.json:
        print_json(readings_json(understanding.interpretation, understanding.judgement.verdicts))
    else:
        show_understanding(console(), understanding)
    return 0


def run_check(arguments: argparse.Namespace) -> int:
    from journal.judge import CHECKS, run_by_hand
    from journal.present.export import verdict_json
    from journal.present.terminal import show_checks, show_verdict

    if arguments.limits:
        return _limits(arguments)
    if arguments.name is None:
        show_checks(console(), CHECKS)
        return 0
    given, as_json = _named_values(arguments.values)
    verdict = run_by_hand(arguments.name, given, limits=rules_of(settings_of(arguments)).limits)
    if as_json or arguments.json:
        print_json(verdict_json(verdict))
    else:
        show_verdict(console(), verdict)
    return 0


def _units(as_json: bool) -> int:
    from journal.domain.unit_table import unit_table
    from journal.present.lists import show_units

    if as_json:
        print_json(
            [
                {
                    "unit": unit.code,
                    "symbol": unit.symbol,
                    "ucum": unit.ucum,
                    "kinds": [kind.value for kind in unit.kinds],
                }
                for unit in unit_table().values()
            ]
        )
    else:
        show_units(console())
    return 0


def _limits(arguments: argparse.Namespace) -> int:
    from journal.present.as_json import as_json
    from journal.present.lists import show_limits

    book = rules_of(settings_of(arguments)).limits
    limits = {key: entry.limit for key, entry in book.entries.items()} if book else {}
    if arguments.json:
        print_json(as_json(limits))
    else:
        show_limits(console(), limits)
    return 0


def _text_of(source: str) -> str:
    if source == "-":
        return sys.stdin.read()
    try:
        return Path(source).read_text(encoding="utf-8")
    except FileNotFoundError:
        raise BadInput(f"{source} is not there; name a text file, or '-' to type or pipe the narration in.") from None
    except UnicodeDecodeError:
        raise BadInput(f"{source} is no text; a recording is heard with: journal ingest {source}") from None


def _named_values(rest: list[str]) -> tuple[dict[str, str], bool]:
    """Turn ``--measured 41.2uF --marked=45uF`` into names and values; ``--json`` may stand among them."""
    given: dict[str, str] = {}
    as_json = False
    words = iter(rest)
    for word in words:
        if word == "--json":
            as_json = True
            continue
        if not word.startswith("--"):
            raise BadInput(f"'{word}' stands alone; write values as --measured 41.2uF.")
        name, equals, value = word[2:].partition("=")
        if not equals:
            value = next(words, "")
        if not value or value.startswith("--"):
            raise BadInput(f"--{name} has no value; write it as --{name} 41.2uF.")
        given[name] = value
    return given, as_json
