"""Measured numbers in, a corrected profile out: least squares with doubts named."""
