"""What a person typed becomes a value; what is probably a slip is questioned."""
