"""Sessions and the catalogue, read in a thread while a screen is there already."""
