-- A record is shown beside what corrects it.
CREATE INDEX "ledger_corrections_idx" ON "ledger"(("data"->>'corrects')) WHERE "kind" = 'record-corrected';
