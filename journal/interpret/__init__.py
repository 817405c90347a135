"""2. Words -> readings with their doubts.

    document.py     heard or typed words as a spaCy Doc, one token for every piece
    vocabulary/     the words of the trade, each file opening with its grammar; vocabulary.py reads them
    steps.py        the order in which words are claimed: corrections, plates, refrigerants, machines, names, parts,
                    points, counts, amounts, states, kinds, work
    roles.py        measured, nameplate, expected, set; or supposed, remembered, denied
    places.py       which number belongs to which place
    looking.py      what is known around a number, and what goes on from the one before (going_on, moving, memories)
    unsaid.py       units and kinds that were not said, and what they were taken from; opinion.py doubts them
    assemble.py     claims -> readings; amending.py applies corrections
    narration.py    the state of one visit; interpret() and explain()

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
