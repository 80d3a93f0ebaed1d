"""The terminal itself: its bytes, its reports, its end."""
