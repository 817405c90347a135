"""Commands that are there while somebody works: ``listen`` in a terminal, ``serve`` in a browser."""

from __future__ import annotations

import argparse
import getpass
import sys
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
from journal.config import own_models
from journal.errors import BadInput

if TYPE_CHECKING:
    from journal.config import Settings
    from journal.live.late_model import LateModel
    from journal.live.second import SecondEar


def add_commands(commands: Commands[argparse.ArgumentParser]) -> None:
    listen = commands.add_parser("listen", help="speak a visit into the microphone, or play a recording as if spoken")
    listen.add_argument(
        "--from", dest="source", type=Path, metavar="FILE", help="a recording in place of the microphone"
    )
    listen.add_argument("--fast", action="store_true", help="with --from: as fast as it can be heard")
    listen.add_argument("--device", help="which microphone, as sounddevice names it")
    listen.add_argument("--title", default="", help="what the visit is called")
    listen.add_argument("--technician", help="who speaks")
    listen.add_argument("--site", help="where the equipment stands")
    add_model_option(listen)
    add_store_options(listen)
    add_json_option(listen)
    listen.set_defaults(run=run_listen)

    serve = commands.add_parser(
        "serve",
        help="the pages: speak a visit, review visits, in a browser",
        description="Without --host only this machine reaches the pages, and nobody has to log in.",
    )
    serve.add_argument("--host", default="127.0.0.1", help="serve a network too: needs users and a certificate")
    serve.add_argument("--port", type=int, default=8765, help="8765 is the default")
    serve.add_argument(
        "--certificate", type=Path, metavar="FILE", help="TLS certificate in PEM (else the one made here)"
    )
    serve.add_argument("--key", type=Path, metavar="FILE", help="its key")
    tasks = serve.add_argument_group("instead of serving")
    tasks.add_argument("--make-certificate", action="store_true", help="make a local authority and a certificate")
    tasks.add_argument("--name", action="append", default=[], metavar="HOST", help="a further name for the certificate")
    tasks.add_argument("--add-user", metavar="LOGIN", help="add somebody, or give a new password (asked for)")
    tasks.add_argument("--full-name", help="with --add-user: the name that stands on visits (else LOGIN)")
    tasks.add_argument("--role", choices=("technician", "office"), default="technician", help="with --add-user")
    tasks.add_argument("--remove-user", metavar="LOGIN", help="take somebody's access away")
    tasks.add_argument("--add-token", metavar="PROGRAM", help="make a token for a program that reads")
    tasks.add_argument("--remove-token", metavar="PROGRAM", help="take every token of a program back")
    tasks.add_argument("--users", action="store_true", help="list who may come in, and which programs may read")
    add_model_option(serve)
    add_store_options(serve)
    serve.set_defaults(run=run_serve)


def run_listen(arguments: argparse.Namespace) -> int:
    from journal.live import Captures
    from journal.live.microphone import from_file, from_microphone
    from journal.present.export import visit_json
    from journal.present.listening import Listening
    from journal.present.terminal import show_outcome

    settings = settings_of(arguments)
    frame = frame_of(arguments, settings)
    if arguments.source:
        source = from_file(arguments.source, fast=arguments.fast)
    else:
        source = from_microphone(arguments.device)
    model = _model(arguments, settings)
    quiet = arguments.json
    with open_store(settings, create=True) as store:
        captures = Captures(store, rules_of(settings), model.listener, model.name, _second(settings))
        try:
            visit = Listening(captures, console(), quiet=quiet).run(
                source, technician=frame.technician, title=frame.title, site=frame.site
            )
        finally:
            captures.close()
    if visit is None:
        print("Nothing was said; nothing is kept.", file=sys.stderr)
        return 1
    if quiet:
        print_json(visit_json(visit))
    else:
        show_outcome(console(), visit)
    return 0


def run_serve(arguments: argparse.Namespace) -> int:
    settings = settings_of(arguments)
    tasks = ("make_certificate", "add_user", "remove_user", "add_token", "remove_token", "users")
    if any(getattr(arguments, task) for task in tasks):
        return _administer(arguments, settings)
    try:
        from journal.present.web.people import People
        from journal.present.web.serve import Address, checked, opened, run
    except ModuleNotFoundError as error:
        raise _lacks_web(error) from None
    model = _model(arguments, settings)
    with open_store(settings, create=True) as store:
        wanted = Address(arguments.host, arguments.port, arguments.certificate, arguments.key)
        address = checked(wanted, store.folder, People(store.folder))
        with opened(store, rules_of(settings), model.listener, model.name, address, settings.technician or "",
            _second(settings)) as state:  # fmt: skip
            model.warm()
            print(f"The journal is at {address.url}  (Ctrl+C stops it)", file=sys.stderr, flush=True)
            run(state, address)
    return 0


def _administer(arguments: argparse.Namespace, settings: Settings) -> int:
    """Carry out what was asked; a server that runs follows at once."""
    try:
        from journal.present.web import administering
        from journal.present.web.certificate import make_certificate
        from journal.present.web.people import People, Role
    except ModuleNotFoundError as error:
        raise _lacks_web(error) from None
    with open_store(settings, create=True) as store:
        people, by = People(store.folder), _at_the_machine()
        if arguments.make_certificate:
            made = make_certificate(store.folder, arguments.name)
            store.note("certificate made", by=by, why=", ".join(made.names))
            print(f"Certificate for {', '.join(made.names)}\n  {made.certificate}\n  fingerprint {made.fingerprint}")
        if arguments.remove_user:
            person = administering.take_access(store, people, arguments.remove_user.lower(), by=by)
            print(f"{person.login} has no access any more.")
        if arguments.add_user:
            name, role = arguments.full_name or arguments.add_user, Role(arguments.role)
            person = administering.give_access(store, people, arguments.add_user, name, role, _password(), by=by)
            print(f"{person.login} ({person.name}) may come in as {person.role.value}.")
        if arguments.remove_token:
            administering.take_token(store, people, arguments.remove_token, by=by)
            print(f"{arguments.remove_token} can read no more.")
        if arguments.add_token:
            print(administering.make_token(store, people, arguments.add_token, by=by))
            print("It is shown this once.", file=sys.stderr)
        if arguments.users:
            for person in people.all():
                print(f"{person.login}  {person.name}, {person.role.value}")
            for program in people.programs():
                print(f"{program}  a program that reads")
    return 0


def _at_the_machine() -> str:
    """Who types the command, as the machine knows them."""
    try:
        return f"{getpass.getuser()} at the machine"
    except (OSError, KeyError):
        return "somebody at the machine"


def _password() -> str:
    """Ask twice on a terminal; from a pipe, take the first line."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\n")
    password = getpass.getpass("Password: ")
    if getpass.getpass("Once more: ") != password:
        raise BadInput("The two were not the same; nothing was changed.")
    return password


def _model(arguments: argparse.Namespace, settings: Settings) -> LateModel:
    """Find the model now, load it when it is needed: a wrong name is told at once, the pages do not wait."""
    from journal.hear.model_files import find_model
    from journal.live.late_model import LateModel

    return LateModel(find_model(arguments.model or settings.model, own_models()))


def _second(settings: Settings) -> SecondEar | None:
    """Return the second listener for live work, where one is installed and not switched off; it loads when needed."""
    from journal.hear.second_listener import find_whisper
    from journal.interpret.prompt import listening_prompt
    from journal.live.second import SecondEar

    choice = settings.second_listener
    if choice == "off":
        return None
    folder = find_whisper(None if choice == "auto" else choice, own_models())
    return SecondEar(folder, listening_prompt()) if folder else None


def _lacks_web(error: ModuleNotFoundError) -> BadInput:
    return BadInput(f"The pages need the extra [web] ({error.name} is missing): pip install 'visit-journal[web]'")
