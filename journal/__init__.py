"""An offline voice-and-notes field journal that extracts readings and judges them.

The folders are the verbs of a reading's life, in its order::

    sound -> words -> readings -> verdicts -> record -> pages, paper, files
    hear/    hear/    interpret/  judge/      keep/     present/

Each takes plain values of the types in ``domain/`` and returns them. Imports point one way only::

    errors <- domain <- units <- { hear | interpret | judge | keep } <- pipeline <- present <- cli

The four in braces do not know each other: they meet in ``domain`` and are joined in ``pipeline``.
``tests/test_layers.py`` walks the imports and fails on an arrow that points backwards.
"""

__version__ = "0.1.0"
