"""The calculations as work sheets."""
