"""The air it runs in and the jet chart for it."""
