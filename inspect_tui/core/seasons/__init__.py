"""What one session leaves to the next: what is carried, last values, what is due, trends. Pure."""
