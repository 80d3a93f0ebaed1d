"""What several screens share: their frame, a scrolling page, a dialog that asks for text."""
