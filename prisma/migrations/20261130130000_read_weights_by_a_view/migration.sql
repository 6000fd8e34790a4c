-- How grave a defect is after each entry about it that says so: the board tells by these since when a machine stands still.
CREATE VIEW "entry_weight" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  l."data"->'defect'->>'category' AS "category_found",
  l."data"->'outcome'->'defect'->>'category' AS "category_left"
FROM "ledger" l
WHERE l."kind" IN ('defect-raised', 'defect-sighted', 'defect-regraded', 'defect-deferred', 'defect-repaired', 'defect-signed-off', 'defect-not-found');
