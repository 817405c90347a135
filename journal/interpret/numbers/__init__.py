"""How numbers are read: words and digits to values, runs of them cut into amounts, ranges, bounds and sets."""
