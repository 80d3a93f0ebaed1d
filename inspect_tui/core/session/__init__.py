"""Log entries become what stands; copies of a session are merged."""
