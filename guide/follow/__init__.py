"""At the machine: (plan, record, key, clock reading) to one event, a question, or a word."""
