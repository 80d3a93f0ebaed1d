"""Changes the program in random places and counts what the tests notice.

Not part of a check run, and not of the extra `test`: it wants cosmic-ray and coverage.

    python -m tests.mutation --mutants 520 --seed 10

First every test is run once to see which lines it passes over (in a folder that was used before,
those whose file has changed since); then each mutant is given the test that caught it before, the
narrow tests of its package that pass over its line, and at the end those that passed are given the
others. What is in equivalent.toml, where somebody judged that it changes nothing that can be seen,
is tried with `--judged` alone; what passes all of the rest has survived. `--survivors` tries those
of the last run again; `--go-on` goes on with a run that was broken off.
"""

from __future__ import annotations

import argparse
import hashlib
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
CAUGHT = "caught.json"
"""Which test caught which mutant, in earlier runs in this folder."""


def main() -> None:
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("--mutants", type=int, default=520)
    wanted.add_argument("--seed", type=int, default=10)
    wanted.add_argument("--folder", type=Path, default=Path("/tmp/mutation"), help="for the work")
    wanted.add_argument("--package", choices=PACKAGES, action="append")
    wanted.add_argument("--survivors", action="store_true", help="those of the last run alone")
    wanted.add_argument("--workers", type=int, default=2, help="so many mutants at a time")
    wanted.add_argument("--go-on", action="store_true", help="with a run that was broken off")
    wanted.add_argument("--judged", action="store_true", help="the equivalent ones too")
    asked = wanted.parse_args()
    folder: Path = asked.folder.resolve()
    folder.mkdir(parents=True, exist_ok=True)
    if not asked.go_on:
        _map(folder)
        _remember(folder, forget=not asked.survivors)
    mutants = [
        each
        for each in drawn(ROOT, asked.mutants, asked.seed)
        if not asked.package or each.package in asked.package
    ]
    equivalent = set() if asked.judged else _equivalent()
    tried = [each for each in mutants if each.key() not in equivalent]
    begin = "results"
    if asked.survivors:
        caught = {tuple(each["key"]) for each in _results(folder, begin) if each["caught"]}
        tried = [each for each in tried if each.key() not in caught]
        begin = "survivors"
    load_libraries()
    workers = [
        multiprocessing.get_context("fork").Process(
            target=_work,
            args=(folder, begin, number, tried[number :: asked.workers], asked.workers),
        )
        for number in range(asked.workers)
    ]
    for each in workers:
        each.start()
    for each in workers:
        each.join()
    if any(each.exitcode for each in workers):
        sys.exit("It didn't come to its end; --go-on does.")
    _table(mutants, [*_results(folder, "results"), *_results(folder, "survivors")])


def _work(folder: Path, begin: str, number: int, mutants: list[Mutant], workers: int) -> None:
    """Try some of the mutants in a copy of its own, and note of each what caught it."""
    data = coverage.CoverageData(str(folder / "lines.db"))
    data.read()
    noted = json.loads((folder / "times.json").read_text(encoding="utf-8"))
    times = {
        test: took
        for test, took in noted["times"].items()
        if test not in noted["failed"] and (ROOT / test.partition("::")[0]).exists()
    }
    before = folder / CAUGHT
    hints = json.loads(before.read_text(encoding="utf-8")) if before.exists() else {}
    tests = Tests(times, data, widths_of(folder / "lines.db"), hints)
    copy = folder / f"copy{number}"
    copy_of(ROOT, copy)
    some = sorted(times, key=times.__getitem__)[number::50][::workers]
    if caught := passes(copy, some, 300):
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
    """Run the tests whose file has changed since the last map, under the eyes of coverage."""
    files = {
        path.relative_to(ROOT).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for name in WATCHED
        for path in sorted((ROOT / "tests" / name).rglob("test_*.py"))
    }
    times = folder / "times.json"
    known = json.loads(times.read_text(encoding="utf-8")).get("files", {}) if times.exists() else {}
    changed = [name for name, digest in files.items() if known.get(name) != digest]
    if changed:
        subprocess.run(
            [sys.executable, "-m", "pytest", "-q", "-p", "tests.mutation.which_tests",
             "-p", "no:cacheprovider", *changed],
            cwd=ROOT, check=False,
            env=os.environ
            | {"MUTATION_FOLDER": str(folder), "CI": "true", "PYTHONPATH": str(ROOT)},
        )  # fmt: skip
        noted = json.loads(times.read_text(encoding="utf-8"))
        times.write_text(json.dumps({**noted, "files": files}), encoding="utf-8")


def _remember(folder: Path, *, forget: bool) -> None:
    """Keep which test caught which mutant, for the next run; then forget the last one's results."""
    path = folder / CAUGHT
    caught = json.loads(path.read_text(encoding="utf-8")) if path.exists() else {}
    for begin in ("results", "survivors"):
        for each in _results(folder, begin):
            if each["caught"]:
                caught["\n".join(each["key"])] = each["caught"]
        if forget or begin == "survivors":
            for old in folder.glob(f"{begin}*.jsonl"):
                old.unlink()
    path.write_text(json.dumps(caught), encoding="utf-8")


def _tried(copy: Path, mutant: Mutant, tests: Tests, wide: bool) -> dict[str, object]:
    """Run a mutant's tests; the program stands there unchanged before and after."""
    began = time.monotonic()
    path = copy / "inspect_tui" / mutant.module
    whole = path.read_bytes()
    caught, tried = "", 0
    try:
        path.write_text(mutant.source, encoding="utf-8")
        for chosen in tests.stages(mutant, wide):
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


def _equivalent() -> set[tuple[str, str, str]]:
    judged = tomllib.loads(Path(__file__).with_name("equivalent.toml").read_text(encoding="utf-8"))
    return {(each["module"], each["before"], each["after"]) for each in judged.get("mutant", ())}


def _table(mutants: list[Mutant], results: list[dict[str, Any]]) -> None:
    equivalent = _equivalent()
    for module, before, _ in sorted(equivalent):
        source = (ROOT / "inspect_tui" / module).read_text(encoding="utf-8")
        if not {*before.split("\n")} <= {line.strip() for line in source.split("\n")}:
            print(f"judged, and no longer there: {module}  {before}")
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
