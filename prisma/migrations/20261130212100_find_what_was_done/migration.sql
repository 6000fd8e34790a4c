-- What was repaired and done elsewhere at a depot in a period: few among many records, and read together for what it cost.
CREATE INDEX "ledger_work_idx" ON "ledger"("depot_id", "performed_at") WHERE "kind" IN ('defect-repaired', 'machine-taken-back');
