"""How a number stands: measured, printed, expected, set, supposed, remembered; under what conditions, for how long."""
