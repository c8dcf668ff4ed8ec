"""What line the face follows, and walking it."""
