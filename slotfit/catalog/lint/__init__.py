"""What is wrong, unlikely, without a source or not known yet in a description."""
