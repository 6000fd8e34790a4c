-- A fall names photos as checks and defects do, and no defect: its photos are found by its entry.
CREATE INDEX "photo_use_entry_id_idx" ON "photo_use"("entry_id");

CREATE OR REPLACE VIEW "entry_photos" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  l."data"->'photos' AS "photos",
  l."data" IS NULL AS "forgotten"
FROM "ledger" l
WHERE l."kind" IN ('daily-check', 'weekly-inspection', 'defect-raised', 'defect-sighted', 'photo-added', 'machine-fell');
