-- A machine that was sold or scrapped keeps its history under its mark, and the mark is free for another. A state that says nothing of it, or
-- cannot be read, is one of the fleet.
DROP INDEX "machine_registration_mark_key";
-- before: machine_registration_mark_key: it holds the same rows as long as no machine left the fleet, which the code before knows nothing of
CREATE UNIQUE INDEX "machine_registration_mark_key" ON "machine"("registration_mark") WHERE NOT ("state" ? 'disposed');

CREATE OR REPLACE VIEW "entry_machine" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  (l."data"->>'odometerKm')::int AS "odometer_km",
  (l."data"->'before'->>'odometerKm')::int AS "from_km",
  (l."data"->'after'->>'odometerKm')::int AS "to_km",
  (l."data"->'before'->>'depotId')::uuid AS "from_depot_id",
  (l."data"->'after'->>'depotId')::uuid AS "to_depot_id",
  l."data"->'before' AS "before"
FROM "ledger" l
WHERE l."kind" IN ('machine-added', 'machine-amended', 'machine-withdrawn', 'machine-returned', 'machine-disposed', 'machine-reinstated');
