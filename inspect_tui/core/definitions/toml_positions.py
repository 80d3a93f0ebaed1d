"""Where in a TOML file each key stands: the true line of every table, key and list element.

Only for text that `tomllib` has accepted, so that nothing is checked again here. Asked when there
is a problem to place; a sound file never is. Linear in the length of the text.
"""

from __future__ import annotations

import re
from bisect import bisect_right

Path = tuple[str | int, ...]
"""Keys, and in a list the number of the element."""

_BLANK = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_SPACE = re.compile(r"[ \t]*")
_SCALAR = re.compile(r"[^,\]}#\r\n]+")
_STRINGS = (
    re.compile(r'"""(?:[^"\\]|\\.|"(?!""))*"""{1,3}', re.DOTALL),
    re.compile(r"'''(?:[^']|'(?!''))*'''{1,3}"),
    re.compile(r'"(?:[^"\\\n]|\\.)*"'),
    re.compile(r"'[^'\n]*'"),
)
_ESCAPE = re.compile(r"\\(?:u([0-9A-Fa-f]{4})|U([0-9A-Fa-f]{8})|(.))", re.DOTALL)
_SHORT_ESCAPES = {"b": "\b", "t": "\t", "n": "\n", "f": "\f", "r": "\r", "e": "\x1b"}


class Lines:
    """The line of every place in a file."""

    def __init__(self, text: str) -> None:
        self._text = text
        self._starts = [0, *(found.end() for found in re.finditer("\n", text))]
        self._lines: dict[Path, int] = {}
        self._counts: dict[Path, int] = {}
        self._scan()

    def of(self, path: Path) -> int | None:
        """The line of a place (1-based), else of the nearest table around it, else None."""
        for end in range(len(path), 0, -1):
            line = self._lines.get(path[:end])
            if line is not None:
                return line
        return None

    def _line(self, at: int) -> int:
        return bisect_right(self._starts, at)

    def _note(self, path: Path, at: int) -> None:
        self._lines.setdefault(path, self._line(at))

    def _scan(self) -> None:
        text, at = self._text, 0
        table: Path = ()
        while True:
            at = _end(_BLANK, text, at)
            if at >= len(text):
                return
            if text[at] == "[":
                at, table = self._header(at)
            else:
                at = self._pair(at, table)

    def _header(self, at: int) -> tuple[int, Path]:
        """`[a.b]` or `[[a.b]]`; each list of tables on the way stands for its last table."""
        text = self._text
        double = text.startswith("[[", at)
        start = at
        at = _end(_SPACE, text, at + (2 if double else 1))
        at, keys = self._key(at)
        path: Path = ()
        for place, key in enumerate(keys):
            path = (*path, key)
            last = place == len(keys) - 1
            self._note(path, start)
            if double and last:
                count = self._counts.get(path, 0)
                self._counts[path] = count + 1
                path = (*path, count)
                self._note(path, start)
            elif path in self._counts:
                path = (*path, self._counts[path] - 1)
        return at + (2 if double else 1), path

    def _pair(self, at: int, table: Path) -> int:
        """`key = value`; dotted keys make tables on the way."""
        start = at
        at, keys = self._key(at)
        path = table
        for key in keys:
            path = (*path, key)
            self._note(path, start)
        return self._value(_end(_SPACE, self._text, at + 1), path)

    def _key(self, at: int) -> tuple[int, list[str]]:
        """A key with its dots; ends on what follows it."""
        text = self._text
        keys: list[str] = []
        while True:
            if text[at] in "\"'":
                pattern = _STRINGS[2 if text[at] == '"' else 3]
                end = _end(pattern, text, at)
                inner = text[at + 1 : end - 1]
                keys.append(_unescaped(inner) if text[at] == '"' else inner)
            else:
                end = _end(_BARE, text, at)
                keys.append(text[at:end])
            at = _end(_SPACE, text, end)
            if text[at] != ".":
                return at, keys
            at = _end(_SPACE, text, at + 1)

    def _value(self, at: int, path: Path) -> int:
        """Past one value, noting what is inside lists and inline tables on the way."""
        text = self._text
        open_lists: list[tuple[str, Path, int]] = []
        while True:
            if text[at] == "[":
                open_lists.append(("]", path, 0))
                at = _end(_BLANK, text, at + 1)
            elif text[at] == "{":
                open_lists.append(("}", path, 0))
                at = _end(_BLANK, text, at + 1)
            else:
                at = self._scalar(at)
            while open_lists:
                close, outer, count = open_lists[-1]
                at = _end(_BLANK, text, at)
                if text[at] == ",":
                    at = _end(_BLANK, text, at + 1)
                if text[at] != close:
                    open_lists[-1] = (close, outer, count + 1)
                    at, path = self._inside(at, close, outer, count)
                    break
                open_lists.pop()
                at += 1
            else:
                return at

    def _inside(self, at: int, close: str, outer: Path, count: int) -> tuple[int, Path]:
        """The next element of a list, or the next key of an inline table."""
        if close == "]":
            path: Path = (*outer, count)
            self._note(path, at)
            return at, path
        start = at
        at, keys = self._key(at)
        path = outer
        for key in keys:
            path = (*path, key)
            self._note(path, start)
        return _end(_SPACE, self._text, at + 1), path

    def _scalar(self, at: int) -> int:
        text = self._text
        if text[at] in "\"'":
            for pattern in _STRINGS:
                found = pattern.match(text, at)
                if found:
                    return found.end()
        return _end(_SCALAR, text, at)


def _end(pattern: re.Pattern[str], text: str, at: int) -> int:
    found = pattern.match(text, at)
    assert found is not None
    return found.end()


def _unescaped(inner: str) -> str:
    def sign(found: re.Match[str]) -> str:
        code = found[1] or found[2]
        return chr(int(code, 16)) if code else _SHORT_ESCAPES.get(found[3], found[3])

    return _ESCAPE.sub(sign, inner) if "\\" in inner else inner
