"""What people look at and other programs read: terminal, record, files.

A visit becomes a ``Page`` once (``page.py``): its sections in the order of the record, every amount in words.  The
terminal (``terminal.py``), the record (``record.py``) and the paper (``pdf.py``) draw that page, so they share words
and order.  ``export.py`` hands the visit itself on: JSON, CSV, WebVTT.  ``completeness.py`` lists what a record lacks,
``refrigerant.py`` and ``refrigerant_log.py`` what was added and recovered, ``plot.py`` draws a machine over time.
"""
