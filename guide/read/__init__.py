"""Files in: strict YAML, lengths, formulas, projects and stages, or every problem with its place."""
