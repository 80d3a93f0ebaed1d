"""The air to ride in and the jet chart for it."""
