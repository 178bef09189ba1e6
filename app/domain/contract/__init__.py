"""What holds once an agreement is signed."""
