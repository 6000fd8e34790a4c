-- Campaigns: a job on every machine of some models, or on machines one by one. Each machine's job is a defect with the campaign as its origin.
CREATE TABLE "campaign" (
  "id" UUID NOT NULL,
  "name" TEXT NOT NULL,
  "job" TEXT NOT NULL,
  "grounds" BOOLEAN NOT NULL,
  "due_day" DATE NOT NULL,
  "model_ids" UUID[] NOT NULL,
  "machine_ids" UUID[] NOT NULL,
  -- The depots whose machines it covers; null: all.
  "depot_ids" UUID[],
  "added_by" UUID NOT NULL,
  "added_at" TIMESTAMPTZ(3) NOT NULL,
  "ended_with" UUID,
  "ended_by" UUID,
  "ended_at" TIMESTAMPTZ(3),
  "end_reason" TEXT,
  CONSTRAINT "campaign_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "campaign_is_over_something" CHECK (cardinality("model_ids") + cardinality("machine_ids") > 0),
  CONSTRAINT "campaign_ends_whole" CHECK (num_nulls("ended_with", "ended_by", "ended_at", "end_reason") IN (0, 4)),
  CONSTRAINT "campaign_id_fkey" FOREIGN KEY ("id") REFERENCES "ledger"("id") ON DELETE RESTRICT ON UPDATE RESTRICT,
  CONSTRAINT "campaign_added_by_fkey" FOREIGN KEY ("added_by") REFERENCES "staff"("id") ON DELETE RESTRICT ON UPDATE RESTRICT,
  CONSTRAINT "campaign_ended_with_fkey" FOREIGN KEY ("ended_with") REFERENCES "ledger"("id") ON DELETE RESTRICT ON UPDATE RESTRICT
);
CREATE UNIQUE INDEX "campaign_ended_with_key" ON "campaign"("ended_with");
CREATE INDEX "campaign_added_at_id_idx" ON "campaign"("added_at" DESC, "id" DESC);

-- before: defect_of_a_campaign_once: no defect had a campaign as its origin
CREATE UNIQUE INDEX "defect_of_a_campaign_once" ON "defect"("origin_id", "machine_id") WHERE "origin" = 'campaign';
