-- How many of a part lie at a depot, where a firm counts them: counts and arrivals, each with its record. What is fitted stands in the repairs.
CREATE TABLE "stock_record" (
  "id" UUID NOT NULL,
  "part_key" TEXT NOT NULL,
  "depot_id" UUID NOT NULL,
  "how" TEXT NOT NULL,
  "quantity" DOUBLE PRECISION NOT NULL,
  "at" TIMESTAMPTZ(3) NOT NULL,
  "recorded_at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "stock_record_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "stock_record_is_no_debt" CHECK ("quantity" >= 0),
  CONSTRAINT "stock_record_id_fkey" FOREIGN KEY ("id") REFERENCES "ledger"("id") ON DELETE RESTRICT ON UPDATE RESTRICT,
  CONSTRAINT "stock_record_part_key_fkey" FOREIGN KEY ("part_key") REFERENCES "part"("key") ON DELETE RESTRICT ON UPDATE RESTRICT,
  CONSTRAINT "stock_record_depot_id_fkey" FOREIGN KEY ("depot_id") REFERENCES "depot"("id") ON DELETE RESTRICT ON UPDATE RESTRICT
);
CREATE INDEX "stock_record_depot_id_part_key_at_idx" ON "stock_record"("depot_id", "part_key", "at");
