"""Judge: readings -> verdicts.  Pure functions, no clock, network or store; only limits and tables are read, once.

    judgement = judge(readings, equipment, steps=..., findings=..., limits=..., surroundings=...)
    doubts = plausibility(readings, equipment)            # by reading id
    verdict = run_by_hand("capacitor", {"measured": "41.2 uF", "marked": "45 uF"})

How readings are understood here, where a field leaves it open:

* Plate currents tell themselves apart by ``conditions``: ``rated load``, ``locked rotor``, ``maximum continuous``,
  ``maximum operating``, ``full load`` (motors), ``minimum circuit``, ``maximum fuse`` or ``maximum breaker`` (a unit's
  plate), ``each`` (one of several fans).  A plate current without any is rated or full load; of two without any the
  one three to ten times the other is locked rotor.
* Running conditions: ``running``, ``off``, ``starting``, ``inrush``, ``pull-down``, ``defrost``, ``closed``, ``open``,
  ``across``, ``under load``; where a clamp sat: ``at the compressor``, ``at the bulb``; ``wet bulb`` of return air;
  ``display`` of a controller; ``cut in``, ``cut out`` of controls; ``before``, ``after`` of a cylinder or a drier.
* A measured insulation needs its instrument (``megohmmeter``) or the condition ``500 V`` to count as proof.
* Legs without points are taken as legs when three stand side by side; a component of ``None`` is the compressor where
  the points are its terminals.
* Withdrawn readings never count; the latest of repeated ones does; nameplates serve the whole visit.
"""

from journal.judge.byhand import run_by_hand
from journal.judge.cautions import left_behind
from journal.judge.judgement import Judgement, judge
from journal.judge.limits import LimitBook
from journal.judge.plausibility import plausibility
from journal.judge.registry import CHECKS
from journal.judge.surroundings import Surroundings

__all__ = ["CHECKS", "Judgement", "LimitBook", "Surroundings", "judge", "left_behind", "plausibility", "run_by_hand"]
