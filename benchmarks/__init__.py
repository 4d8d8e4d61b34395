"""Speed by ratio to a reference in the same run: `python -m benchmarks.NAME`."""
