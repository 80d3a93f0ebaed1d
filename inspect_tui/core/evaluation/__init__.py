"""What follows from the readings of a session."""
