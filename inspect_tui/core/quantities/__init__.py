"""Numbers, units and dimensions."""
