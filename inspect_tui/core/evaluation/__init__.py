"""What follows from the readings: uncertainty, conformity, findings, the jet chart, adjustments."""
