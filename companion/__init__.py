"""Hands-free practice companion for fingerloop braiding."""
