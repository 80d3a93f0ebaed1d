"""What is wrong in a definition file beyond its form, each with its line."""
