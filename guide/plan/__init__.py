"""Numbers out: sums, layout, cutting, shopping and steps, all pure."""
