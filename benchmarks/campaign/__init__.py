"""Long tries that no test run has time for: kills, mutated answers, faults, and many cases."""
