-- How a paper was ended: a row of its own, since a paper that was recorded stays as it was recorded.
-- `day` is the first day on which it counts no longer; one that was entered by mistake never counted. What was said of it stands in the entry.

CREATE TABLE "paper_ending" (
  "id" UUID NOT NULL,
  "paper_id" UUID NOT NULL,
  "machine_id" UUID NOT NULL,
  "day" DATE NOT NULL,
  "reason" TEXT NOT NULL,
  "grounds" BOOLEAN NOT NULL,
  "staff_id" UUID NOT NULL,
  "recorded_at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "paper_ending_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "paper_ending_reason_known" CHECK ("reason" IN ('cancelled', 'replaced', 'mistaken', 'failed')),
  CONSTRAINT "paper_ending_grounds_where_it_failed" CHECK (NOT "grounds" OR "reason" = 'failed'),
  CONSTRAINT "paper_ending_id_fkey" FOREIGN KEY ("id") REFERENCES "ledger"("id") ON DELETE RESTRICT ON UPDATE RESTRICT,
  CONSTRAINT "paper_ending_paper_id_fkey" FOREIGN KEY ("paper_id") REFERENCES "paper"("id") ON DELETE RESTRICT ON UPDATE RESTRICT
);
-- A paper is ended once.
CREATE UNIQUE INDEX "paper_ending_paper_id_key" ON "paper_ending"("paper_id");

CREATE TRIGGER "paper_ending_is_append_only" BEFORE UPDATE OR DELETE ON "paper_ending" FOR EACH ROW EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "paper_ending_is_not_emptied" BEFORE TRUNCATE ON "paper_ending" FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
