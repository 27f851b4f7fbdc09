"""Answers: questions over the store: records, find, when, hours, spend, open jobs, why.

In: an open database. Out: plain values that the command line prints and the pages show. Never: a write, or a claim
that no record carries.
"""
