"""Frozen types: checklist, machine, log entry, results, targets, photo."""
