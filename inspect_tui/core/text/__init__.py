"""Values as text, and the nearest of several names."""
