"""A campaign of faults that tries to get a GO although there is a danger."""
