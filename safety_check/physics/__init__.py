"""Pure functions on numpy arrays; SI units; missing is NaN; every formula cites its source."""
