"""2. Words -> readings with their doubts.

    document.py     heard or typed words as a spaCy Doc, one token for every piece
    vocabulary/     the words of the trade, each file opening with its grammar; vocabulary.py reads them
    steps.py        the order in which words are claimed on the board: corrections, plates, refrigerants, machines,
                    names, parts, points, counts, amounts, states, kinds, work
    numbers/        how numbers are read: words to values, runs cut into amounts, ranges, sets
    idle/           numbers that no meter showed: names, counts, sizes, times, money
    places/         where a number was read: machines, parts, points, and which of them it belongs to
    quantities/     what it measures: unit and kind, said or taken from around it; opinion.py doubts them
    tagger/         what all the words around a number make of it, learned from the phrase tables
    standing/       how it stands: measured, nameplate, expected, set; or supposed, remembered, denied; sureness.py
                    decides by all of that whether it is doubted
    seen/           what is no number: states, findings, work, refrigerants, plates, facts
    assemble.py     claims -> readings; amending.py applies corrections
    narration.py    the state of one visit; interpret() and explain()
    agreement.py    two listeners' readings brought together

spaCy is imported when the first utterance is understood, not before.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from journal.interpret.narration import Narration, Step, explain, interpret
    from journal.interpret.vocabulary import spoken_forms, spoken_words

__all__ = ["Narration", "Step", "explain", "interpret", "spoken_forms", "spoken_words"]


def __getattr__(name: str) -> Any:
    if name in ("spoken_forms", "spoken_words"):
        from journal.interpret import vocabulary

        return getattr(vocabulary, name)
    if name in __all__:
        from journal.interpret import narration

        return getattr(narration, name)
    raise AttributeError(name)
