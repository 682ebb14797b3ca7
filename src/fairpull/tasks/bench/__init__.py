"""What a person does with a bench book, start to finish."""
