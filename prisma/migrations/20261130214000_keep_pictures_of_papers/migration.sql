-- A machine's paper may be photographed: its pictures hang on the record that adds it.
CREATE OR REPLACE VIEW "entry_photos" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  l."data"->'photos' AS "photos",
  l."data" IS NULL AS "forgotten"
FROM "ledger" l
WHERE l."kind" IN ('daily-check', 'weekly-inspection', 'defect-raised', 'defect-sighted', 'photo-added', 'machine-fell', 'machine-taken-back',
  'paper-added');
