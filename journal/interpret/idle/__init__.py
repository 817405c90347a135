"""Numbers that no meter showed: names, counts, sizes, clock times, money, telephones, what others told."""
