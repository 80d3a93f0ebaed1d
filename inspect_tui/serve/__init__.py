"""The app in a browser: a small server for one tablet, on this computer unless told otherwise."""
