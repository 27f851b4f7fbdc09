"""The views of the journal's database: what people query, as name → (what a row is, SQL).

Each leads back to its clip by `source` (path), `start` (seconds), `source_id` and the record's `id`.
"""
from __future__ import annotations

VIEWS: dict[str, tuple[str, str]] = {
    "timeline": ("Work that was performed, by anybody, in order of day.", """
        SELECT r.first_day AS day, r.last_day, r.date, r.task, r.part, r.assembly, r.side, r.status, r.who, r.person,
               r.count, r.quote, r.confidence, s.path AS source, r.start, r.id, r.source_id
        FROM acts AS r JOIN sources AS s ON s.id = r.source_id
        WHERE r.status IN ('done', 'doing')
        ORDER BY r.last_day, s.captured_utc, r.start"""),
    "not_performed": ("What was planned, advised, or said not to be done.", """
        SELECT s.day, r.task, r.part, r.assembly, r.side, r.status, r.who, r.quote, r.confidence,
               s.path AS source, r.start, r.id, r.source_id
        FROM acts AS r JOIN sources AS s ON s.id = r.source_id
        WHERE r.status NOT IN ('done', 'doing')
        ORDER BY s.captured_utc, r.start"""),
    "ledger_hours": ("Hours worked, each counted once.", """
        SELECT substr(r.last_day, 1, 7) AS month, r.first_day, r.last_day, r.date, r.who, r.person, r.low, r.high,
               (r.low + r.high) / 2 AS hours, r.approx, r.assembly, r.task, r.quote,
               s.path AS source, r.start, r.id, r.source_id
        FROM hours AS r JOIN sources AS s ON s.id = r.source_id
        WHERE r.counted = 1
        ORDER BY r.last_day, s.captured_utc, r.start"""),
    "spend": ("Money spent (bought or ordered, each purchase once) and, negative, money back for returns; "
              "`told` is the day of the talk, which gives the month where no day was said.", """
        SELECT substr(coalesce(r.last_day, s.day), 1, 7) AS month, s.day AS told, r.first_day, r.last_day, r.date,
               r.item, r.category, r.vendor, r.assembly, r.status, r.quantity,
               CASE r.status WHEN 'returned' THEN -r.amount_high ELSE r.amount_low END AS low,
               CASE r.status WHEN 'returned' THEN -r.amount_low ELSE r.amount_high END AS high,
               r.quote, s.path AS source, r.start, r.receipt_id, r.id, r.source_id
        FROM purchases AS r JOIN sources AS s ON s.id = r.source_id
        WHERE r.status IN ('bought', 'ordered', 'returned') AND r.same_as IS NULL
        ORDER BY coalesce(r.last_day, s.day), s.captured_utc, r.start"""),
    "receipts_alone": ("Receipts of which nobody spoke; their money is not in `spend`.", """
        SELECT r.date, r.vendor, r.total, r.problems, s.path AS source, r.source_id
        FROM receipts AS r JOIN sources AS s ON s.id = r.source_id
        WHERE NOT EXISTS (SELECT 1 FROM purchases AS p WHERE p.receipt_id = r.source_id)
        ORDER BY r.date, s.path"""),
    "open_jobs": ("What is still to do, to buy, to fix or away.", """
        SELECT r.day, r.kind, r.part, r.task, r.assembly, r.side, r.quote, s.path AS source, r.start, r.id, r.source_id
        FROM open_items AS r JOIN sources AS s ON s.id = r.source_id
        WHERE r.closed_by IS NULL AND r.same_as IS NULL
        ORDER BY r.day, r.start"""),
}
