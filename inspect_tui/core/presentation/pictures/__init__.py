"""What is drawn: as characters for a terminal, as shapes for HTML and PDF, from the same data."""
