"""What is concluded of several values: findings and decisions, cylinders compared, exchanged
parts, inferences, trends."""
