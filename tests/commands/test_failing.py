"""The sentence about a fault inside the program comes whatever else is odd."""

from __future__ import annotations

import argparse
import time

from inspect_tui.commands.crash import in_words


def test_a_zone_that_there_can_not_be_hides_no_fault(places, monkeypatch):
    monkeypatch.setenv("TZ", "UTC-167")
    time.tzset()
    try:
        said = in_words(KeyError("x"), argparse.Namespace(store=str(places.store)))
    finally:
        monkeypatch.undo()
        time.tzset()
    (details,) = (places.store / "faults").iterdir()
    assert "KeyError" in said and str(details) in said
