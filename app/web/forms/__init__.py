"""Forms: typed text to values, each refusal a sentence beside its field."""
