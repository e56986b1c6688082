"""Run benchmarks by their own name or by their module's; without a name, all of them."""

import argparse
import importlib
import json
import pkgutil
import sys
import traceback
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict
from pathlib import Path

import benchmarks
from benchmarks import Row

Benchmark = Callable[[], Row]

HEADINGS = ("name", "value", "unit", "bar", "met", "detail")
MET_WORDS = {True: "yes", False: "NO", None: "-"}


def main(arguments: Sequence[str] | None = None) -> int:
    """Run, print the table, write the rows; 1 if a benchmark broke off, 2 for a wrong name."""
    options = _parser().parse_args(arguments)
    try:
        chosen = choose(options.names, discover())
    except KeyError as unknown:
        print(unknown.args[0], file=sys.stderr)
        return 2
    rows = [measure(name, benchmark) for name, benchmark in chosen.items()]
    print(table(rows))
    if options.json is not None:
        options.json.write_text(json.dumps([asdict(row) for row in rows], indent=2) + "\n")
    return 1 if any(row.value is None for row in rows) else 0


def discover() -> dict[str, dict[str, Benchmark]]:
    """Collect the benchmarks of each module of this package, by module name."""
    names = sorted(module.name for module in pkgutil.iter_modules(benchmarks.__path__))
    public = [name for name in names if not name.startswith("_")]
    modules = {name: importlib.import_module(f"benchmarks.{name}") for name in public}
    return {name: getattr(module, "BENCHMARKS", {}) for name, module in modules.items()}


def choose(
    names: Sequence[str], found: Mapping[str, Mapping[str, Benchmark]]
) -> dict[str, Benchmark]:
    """Take the benchmarks that the names ask for, in their order; all if there is no name."""
    every = {name: benchmark for group in found.values() for name, benchmark in group.items()}
    chosen: dict[str, Benchmark] = {}
    for name in names:
        if name not in every and name not in found:
            known = ", ".join(sorted({*every, *found})) or "none"
            raise KeyError(f"There is no benchmark {name}. Known: {known}.")
        chosen |= {name: every[name]} if name in every else found[name]
    return chosen if names else every


def measure(name: str, benchmark: Benchmark) -> Row:
    """Run one benchmark; one that breaks off gives a row without a value, not an end."""
    print(f"crena: measuring {name} ...", file=sys.stderr, flush=True)
    try:
        return benchmark()
    except Exception as error:
        traceback.print_exc()
        reason = f"broke off: {type(error).__name__}: {error}"
        return Row(name=name, value=None, unit="", bar="", met=False, detail=reason)


def table(rows: Sequence[Row]) -> str:
    """Set the rows under their headings, each column as wide as its widest entry."""
    lines = [HEADINGS, *(_cells(row) for row in rows)]
    widths = [max(len(line[column]) for line in lines) for column in range(len(HEADINGS))]
    padded = ("  ".join(map(str.ljust, line, widths)).rstrip() for line in lines)
    return "\n".join(padded)


def _cells(row: Row) -> tuple[str, ...]:
    value = "-" if row.value is None else f"{row.value:.4g}"
    return (row.name, value, row.unit, row.bar, MET_WORDS[row.met], row.detail)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="dev bench", description=__doc__)
    parser.add_argument("names", nargs="*", metavar="NAME")
    parser.add_argument("--json", type=Path, metavar="FILE", help="write the rows here as well")
    return parser


if __name__ == "__main__":
    sys.exit(main())
