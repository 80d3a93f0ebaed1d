"""A session log checked without the program: python small_verifier.py FILE.

Says yes (exit 0) or names the first thing that is off (exit 1).
"""

import hashlib
import re
import sys
import tomllib
from pathlib import Path


def first_fault(data: bytes) -> str:
    """What is off first in a log's bytes; empty when it verifies."""
    if b"\r" in data:
        return "a CR"
    seal, n, at = b"", 0, None
    block: list[bytes] = []
    for number, line in enumerate(data.splitlines(keepends=True), 1):
        if not (found := re.fullmatch(rb'seal = "([0-9a-f]{64})"\n', line)):
            block.append(line)
            continue
        text = b"".join(block)
        if hashlib.sha256(seal + text).hexdigest().encode() != found[1]:
            return f"line {number}: the seal of entry {n} doesn't hold"
        if block[0] != b"[[entry]]\n":
            return f"line {number - len(block)}: no [[entry]]"
        (entry,) = tomllib.loads(text.decode())["entry"]
        if entry["n"] != n or (at is not None and entry["at"] < at):
            return f"line {number}: n or the time runs backwards"
        seal, n, at, block = found[1], n + 1, entry["at"], []
    return "torn at its end" if block or n == 0 else ""


if __name__ == "__main__":
    fault = first_fault(Path(sys.argv[1]).read_bytes())
    print(fault or "verified")
    sys.exit(1 if fault else 0)
