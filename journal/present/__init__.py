"""What people look at and other programs read: terminal, record, files.

A visit becomes a ``Page`` once (``page.py``): its sections in the order of the record, every amount in words.  The
terminal (``terminal.py``) and the record (``record.py``) both draw that page, so they share words and order.
``export.py`` hands the visit itself on: JSON, CSV, WebVTT.
"""
