"""What each number of an utterance is by all the words around it, learned from the phrase tables.

``wordpieces`` cuts words as the encoder knows them, ``encoder`` is its arithmetic, ``tags`` what the steps ask.
``models/recipe/tagger`` made the weights.
"""
