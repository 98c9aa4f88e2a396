"""Coupons and gauges are described, their readings are read and fitted, and profiles come out."""
