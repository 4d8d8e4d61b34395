"""Long tries against the program; the last line is the number of failures.

Run with `python -m benchmarks.campaign kill --seconds 3600 --seed 1`: the real command line, killed
at random moments while it writes. `verdicts`: what may never make a verdict better, each with
`--tries` trips. `properties`: every property of the rules and of what assesses a trip, each with
`--tries` new cases. `fuzz`: recorded answers with random faults, fed to every parser. `faults`:
faults in the answers of every service, over real sockets; the same as
`python -m benchmarks.false_go`.
"""

from __future__ import annotations

import argparse
import sys

from benchmarks.campaign import fuzz, kill, properties, verdicts


def main() -> None:
    """Print tries and failures."""
    asked = _arguments()
    if asked.campaign == "faults":
        from benchmarks.false_go.__main__ import main as find_false_gos

        sys.argv = ["benchmarks.false_go"]
        find_false_gos()
        return
    runs = {
        "kill": kill.run,
        "verdicts": verdicts.run,
        "properties": properties.run,
        "fuzz": fuzz.run,
    }
    run = runs[asked.campaign]
    tries, failures = run(asked.seconds, asked.seed, asked.tries)
    sys.stdout.write("".join(f"{line}\n" for line in failures))
    sys.stdout.write(f"tries: {tries}\nfailures: {len(failures)}\n")
    sys.exit(1 if failures else 0)


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m benchmarks.campaign")
    parser.add_argument("campaign", choices=("kill", "verdicts", "properties", "faults", "fuzz"))
    parser.add_argument("--seconds", type=float, default=3600.0, help="when to stop")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--tries", type=int, default=1000, help="kills, bodies, or cases of each promise"
    )
    return parser.parse_args()


if __name__ == "__main__":
    main()
