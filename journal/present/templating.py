"""The template environment that record and pages share: everything escaped, nothing undefined, nothing hidden."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from journal.domain.unit_table import symbol_of
from journal.present.wording import moment_text, printable

if TYPE_CHECKING:
    from jinja2 import Environment


@cache
def environment(*packages: str) -> Environment:
    """Return the environment over the ``templates`` folders of packages, the first one first.

    Text is printed without characters that steer a terminal or turn the direction of writing.
    """
    from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined

    made = Environment(
        loader=ChoiceLoader([PackageLoader(package, "templates") for package in packages]),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=lambda value: printable(value) if type(value) is str else value,  # what is marked up was drawn here
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["share"] = lambda value: f"{value * 100:.2f}%"
    made.filters["moment"] = moment_text
    made.filters["symbol"] = symbol_of
    return made
