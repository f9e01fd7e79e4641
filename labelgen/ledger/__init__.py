"""What was printed for sale: an append-only record, tracing of lots, and which labels a change has made
wrong.
"""
