"""How sure a value is, and whether it conforms: sources of error, propagation, verdicts."""
