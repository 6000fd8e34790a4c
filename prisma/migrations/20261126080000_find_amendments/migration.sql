-- What a machine was called at a past moment is read back from the amendments after it: few entries in a long chain.
CREATE INDEX "ledger_amendments_idx" ON "ledger"("chain_id", "position") WHERE "kind" = 'machine-amended';
