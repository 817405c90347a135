"""Frozen types every stage speaks: standard library and ``journal.errors`` only.

Times are float seconds from the recording's start; moments of the calendar are UTC, ISO 8601, in text.
Quantities are ``Decimal`` exactly as said: 24.30 stays 24.30.
"""
