"""Definition files (TOML) become the model, with every problem and its line."""
