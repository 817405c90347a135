"""The recipe of the tagger: what ``journal/interpret/tagger`` carries is learned here from the open phrase tables.

``examples`` labels the numbers of the tables, ``network`` is the encoder and its starting weights, ``learn`` trains it
and writes what the package carries.
"""
