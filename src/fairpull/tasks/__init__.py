"""What a person does, start to finish; the only room that joins reading, science and, later, the store."""
