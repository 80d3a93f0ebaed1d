"""Everything that is thinking: pure, without disk, clock, environment or screen."""
