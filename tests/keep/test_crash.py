"""A process killed at any moment leaves a store that opens, verifies, and holds what was acknowledged."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

KILLS = 20


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="kill -9 needs a POSIX system")
def test_twenty_kills_lose_nothing() -> None:
    """``tests/benchmarks/crash_store.py`` does it two hundred times; each kill is checked there."""
    command = [sys.executable, "-m", "tests.benchmarks.crash_store", "--kills", str(KILLS)]
    ended = subprocess.run(command, capture_output=True, text=True, check=False, timeout=300)
    assert ended.returncode == 0, ended.stderr
    told = json.loads(ended.stdout)
    assert sum(number for what, number in told["interrupted while"].items() if what != "acknowledged") == KILLS
