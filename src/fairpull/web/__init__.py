"""The bench book as pages: `app.create_app` makes them, `pages/` holds one file each."""
