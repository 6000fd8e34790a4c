-- A defect waits for a part once in its course.
-- before: defect_event_one_wait: what runs before this migration writes no event of this kind.
CREATE UNIQUE INDEX "defect_event_one_wait" ON "defect_event"("defect_id") WHERE "kind" = 'waiting';

-- A defect was let wait for a part: which, and why.
CREATE VIEW "entry_wait" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  l."data"->'submitted'->>'part' AS "part"
FROM "ledger" l
WHERE l."kind" = 'defect-waiting';
