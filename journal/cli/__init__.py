"""The program ``journal``: each command parses, calls one function, prints, and sets the exit code.

0 done; 1 the asked thing is not so (no match, a check that failed); 2 bad input or surroundings.  A verdict 'out of
limits' is a 0: the journal did its work.  No traceback reaches a user.
"""

from __future__ import annotations

import errno
import os
import sys
import tempfile
import traceback
from collections.abc import Sequence

from journal.errors import JournalError, NotFound


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    from journal.cli.parser import build_parser, parsed
    from journal.cli.plainly import settle

    settle(sys.stdout)
    settle(sys.stderr)
    parser = build_parser()
    if "_ARGCOMPLETE" in os.environ:
        from journal.cli.completing import complete

        complete(parser)
    arguments = parsed(parser, argv)
    try:
        return int(arguments.run(arguments))
    except NotFound as error:
        return _say(str(error), 1)
    except JournalError as error:
        return _say(str(error), 2)
    except KeyboardInterrupt:
        return _say("Stopped. Nothing half-done was stored.", 130)
    except BrokenPipeError:
        # The reader of our output went away ('journal show ... | head'): quiet, and no second error at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except OSError as error:
        return _say(_surroundings(error), 2)
    except Exception:
        return _say(_unforeseen(), 2)


def _say(sentence: str, code: int) -> int:
    print(sentence, file=sys.stderr)
    return code


def _surroundings(error: OSError) -> str:
    where = f"{error.filename}: " if error.filename else ""
    if error.errno == errno.ENOSPC:
        return f"{where}the disk is full. Free some space and run the command again; nothing was lost."
    if error.errno == errno.EROFS:
        return f"{where}the disk is read-only. Choose another place with --store or --out; nothing was lost."
    reason = error.strerror or type(error).__name__
    return f"{where}{reason[:1].lower()}{reason[1:]}. Check the path and its permissions, then run the command again."


def _unforeseen() -> str:
    """Keep the traceback for whoever mends the journal, and tell the user where it is."""
    with tempfile.NamedTemporaryFile("w", prefix="journal-error-", suffix=".txt", delete=False) as report:
        traceback.print_exc(file=report)
    kind = sys.exc_info()[0]
    name = kind.__name__ if kind else "an error"
    return f"The journal met something it was not built for ({name}). The store is as it was; see {report.name}."
