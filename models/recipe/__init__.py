"""The recipe of the trade-English Vosk model: from public parts to ``models/trade-english/``.

Read the modules in this order: ``spoken`` (numbers as people say them), ``texts`` (what technicians say), ``lexicon``
(how words sound), ``voices`` (synthesized speakers), ``augment`` (noise, rooms, bad microphones), ``network`` and
``train`` (the acoustic model), ``kaldi`` and ``export`` (its file format), ``graph`` (the decoding graph) and
``evaluate`` (how well it hears).  Each has a command, ``python -m models.recipe.NAME``; README.md gives the order.
"""
