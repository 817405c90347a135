"""Where a number was read: machines, parts and places, measuring points, and which of them it belongs to."""
