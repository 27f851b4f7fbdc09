"""The evidence: the dated log (PDF/A), the major-portion worksheet, the gaps, the bag (RFC 8493), and its check.

In: an indexed journal, its register and corrections, and what the builder chose to show. Out: files in a place that he
named. Never: a change to the journal, a claim that no record carries, a word of the builder's taken as markup, a
finding on airworthiness or on the major portion, which is the inspector's alone.
"""
