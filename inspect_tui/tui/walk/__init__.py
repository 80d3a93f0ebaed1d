"""The walk: one question at a time, the screen that the program exists for."""
