"""Designs and contents: what their files may say, and the plain values read from them."""
