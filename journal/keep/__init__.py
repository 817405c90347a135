"""4. Keep: one SQLite file and the sound beside it; complete, append-only, and able to show that nobody changed it.

``Store`` is the way in.  Below it: ``database`` holds every connection, ``migrations`` and ``schema/`` the tables,
``rows`` the meeting of domain types and rows, ``ledger`` and ``seals`` the chain, ``files`` the sound.  Corrections
stay beside what they correct: ``current(visit)`` applies them.
"""

from journal.keep.backup import BackupReport, restore
from journal.keep.blanking import MARKER, Place
from journal.keep.carrying import ImportReport
from journal.keep.complete import Lack, lacking, refrigerant_record
from journal.keep.corrections import Assessment, current, overrulings
from journal.keep.ledger import Line
from journal.keep.machines import Machine, machine_of
from journal.keep.overview import VisitSummary
from journal.keep.store import Store
from journal.keep.verifying import Problem, VerifyReport

__all__ = [
    "MARKER",
    "Assessment",
    "BackupReport",
    "ImportReport",
    "Lack",
    "Line",
    "Machine",
    "Place",
    "Problem",
    "Store",
    "VerifyReport",
    "VisitSummary",
    "current",
    "lacking",
    "machine_of",
    "overrulings",
    "refrigerant_record",
    "restore",
]
