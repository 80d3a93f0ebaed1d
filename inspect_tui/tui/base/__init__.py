"""What every screen stands on: themes, actions, the guard against faults, the view model."""
