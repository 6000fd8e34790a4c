-- Whether a clearance may run over midnight at this depot; null: as the firm's policy says.
ALTER TABLE "depot" ADD COLUMN "clearance_over_midnight" BOOLEAN;
