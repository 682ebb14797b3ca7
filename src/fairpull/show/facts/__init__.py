"""What the faces say, as words and tables of finished strings, drawn once and rendered by terminal and page alike."""
