"""Sessions packed for another computer."""
