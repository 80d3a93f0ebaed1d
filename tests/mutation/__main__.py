"""Changes the program in random places and counts what the tests notice.

Not part of a check run, and not of the extra `test`: it wants cosmic-ray and coverage.

    python -m tests.mutation --mutants 520 --seed 10

First every test is run once to see which lines it passes over; then each mutant is given the narrow
tests of its package that pass over its line, and at the end those that passed are given the others.
What passes all is looked up in equivalent.toml, where somebody judged that it changes nothing that
can be seen; the rest has survived. `--survivors` tries those of the last run again.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import os
import subprocess
import sys
import time
import tomllib
from collections import Counter
from pathlib import Path
from typing import Any

import coverage

from tests.mutation.draw import PACKAGES, Mutant, drawn
from tests.mutation.try_one import Tests, copy_of, load_libraries, passes, widths_of

ROOT = Path(__file__).parents[2]
WATCHED = ("core", "calc", "contract", "files", "commands", "workflow", "seasons", "reference")


def main() -> None:
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("--mutants", type=int, default=520)
    wanted.add_argument("--seed", type=int, default=10)
    wanted.add_argument("--folder", type=Path, default=Path("/tmp/mutation"), help="for the work")
    wanted.add_argument("--package", choices=PACKAGES, action="append")
    wanted.add_argument("--survivors", action="store_true", help="those of the last run alone")
    wanted.add_argument("--workers", type=int, default=2, help="so many mutants at a time")
    wanted.add_argument("--old-map", action="store_true", help="which tests meet what, as before")
    asked = wanted.parse_args()
    folder: Path = asked.folder.resolve()
    folder.mkdir(parents=True, exist_ok=True)
    if not asked.old_map:
        _map(folder)
    mutants = [
        each
        for each in drawn(ROOT, asked.mutants, asked.seed)
        if not asked.package or each.package in asked.package
    ]
    begin = "results"
    if asked.survivors:
        left = {tuple(each["key"]) for each in _results(folder, begin) if not each["caught"]}
        mutants = [each for each in mutants if each.key() in left]
        begin = "survivors"
        for path in folder.glob("survivors*.jsonl"):
            path.unlink()
    load_libraries()
    workers = [
        multiprocessing.get_context("fork").Process(
            target=_work, args=(folder, begin, number, mutants[number :: asked.workers])
        )
        for number in range(asked.workers)
    ]
    for each in workers:
        each.start()
    for each in workers:
        each.join()
    if any(each.exitcode for each in workers):
        sys.exit("It didn't come to its end; --old-map goes on.")
    _table(mutants, _results(folder, begin))


def _work(folder: Path, begin: str, number: int, mutants: list[Mutant]) -> None:
    """Try some of the mutants in a copy of its own, and note of each what caught it."""
    data = coverage.CoverageData(str(folder / "lines.db"))
    data.read()
    noted = json.loads((folder / "times.json").read_text(encoding="utf-8"))
    times = {test: took for test, took in noted["times"].items() if test not in noted["failed"]}
    tests = Tests(times, data, widths_of(folder / "lines.db"))
    copy = folder / f"copy{number}"
    copy_of(ROOT, copy)
    if caught := passes(copy, sorted(times, key=times.__getitem__)[::50], 300):
        sys.exit(f"The program as it is doesn't pass: {caught}")
    for wide in (False, True):
        ended = {
            tuple(each["key"])
            for each in _results(folder, begin)
            if each["caught"] or each["wide"] >= wide
        }
        with (folder / f"{begin}{number}.jsonl").open("a", encoding="utf-8") as file:
            for mutant in mutants:
                if mutant.key() not in ended:
                    file.write(json.dumps(_tried(copy, mutant, tests, wide)) + "\n")
                    file.flush()


def _map(folder: Path) -> None:
    subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "tests.mutation.which_tests",
         "-p", "no:cacheprovider", *(f"tests/{name}" for name in WATCHED)],
        cwd=ROOT, check=False,
        env=os.environ | {"MUTATION_FOLDER": str(folder), "CI": "true", "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    for path in folder.glob("results*.jsonl"):
        path.unlink()


def _tried(copy: Path, mutant: Mutant, tests: Tests, wide: bool) -> dict[str, object]:
    """Run a mutant's tests; the program stands there unchanged before and after."""
    began = time.monotonic()
    path = copy / "inspect_tui" / mutant.module
    whole = path.read_bytes()
    caught, tried = "", 0
    try:
        path.write_text(mutant.source, encoding="utf-8")
        lines = range(mutant.first, mutant.last + 1)
        for chosen in tests.stages(mutant.package, mutant.module, lines, wide):
            tried += len(chosen)
            caught = passes(copy, chosen, 30 + 3 * sum(tests.times[each] for each in chosen))
            if caught:
                break
    finally:
        path.write_bytes(whole)
    return {
        "key": mutant.key(), "package": mutant.package, "line": mutant.line,
        "operator": mutant.operator, "caught": caught, "tests": tried, "wide": wide,
        "seconds": round(time.monotonic() - began, 1),
    }  # fmt: skip


def _results(folder: Path, begin: str) -> list[dict[str, Any]]:
    lines = [
        line
        for path in sorted(folder.glob(f"{begin}*.jsonl"))
        for line in path.read_text(encoding="utf-8").splitlines()
    ]
    return [json.loads(line) for line in lines if line.endswith("}")]


def _table(mutants: list[Mutant], results: list[dict[str, Any]]) -> None:
    judged = tomllib.loads(Path(__file__).with_name("equivalent.toml").read_text(encoding="utf-8"))
    equivalent = {
        (each["module"], each["before"], each["after"]) for each in judged.get("mutant", ())
    }
    caught = {tuple(each["key"]) for each in results if each["caught"]}
    counts: dict[str, Counter[str]] = {package: Counter() for package in (*PACKAGES, "all")}
    for each in mutants:
        same = each.key() in equivalent
        word = "caught" if each.key() in caught else "equivalent" if same else "survived"
        counts[each.package][word] += 1
        counts["all"][word] += 1
        if word == "survived":
            print(
                f"{each.module}:{each.line}  {each.operator}\n  - {each.before}\n  + {each.after}"
            )
    print("| package | mutants | caught | equivalent | survived | caught of what differs |")
    print("| --- | --- | --- | --- | --- | --- |")
    for package, count in counts.items():
        differ = count["caught"] + count["survived"]
        share = f"{100 * count['caught'] / differ:.1f} %" if differ else "-"
        print(
            f"| {package} | {count.total()} | {count['caught']} | {count['equivalent']} "
            f"| {count['survived']} | {share} |"
        )


main()
