"""What a shop with several people needs: passwords of its roles."""
