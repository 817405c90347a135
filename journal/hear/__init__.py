"""Sound in, timestamped words out: the first two steps of a reading's life.

``audio`` opens a recording as 16 kHz chunks, ``vosk_recogniser`` turns chunks into utterances, ``endpointer``
decides where an utterance ends, ``model_files`` finds and verifies the speech models, ``transcribe`` joins them.
Nothing here knows what a reading is.
"""
