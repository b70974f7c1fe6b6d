"""What all cameras share: a child process and its supervision."""
