"""What the keeper does to a running day.

Owns the orders in words, what each decides, and what becomes of the rest of the day. Refuses what
no rule allows, and says which. Always holds: everything here is pure, so that all of it can be
tried without being done.
"""
