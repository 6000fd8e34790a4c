-- What a creating call without an id of its own answered, by the key that its sender made, for a day: a repetition gets the same answer.
CREATE TABLE "idempotency_key" (
  "staff_id" UUID NOT NULL,
  "key" TEXT NOT NULL,
  "call_sha256" TEXT NOT NULL,
  "begun_at" TIMESTAMPTZ(3) NOT NULL,
  "status" INTEGER,
  "answer" JSONB,
  "location" TEXT,
  CONSTRAINT "idempotency_key_pkey" PRIMARY KEY ("staff_id", "key"),
  CONSTRAINT "idempotency_key_staff_id_fkey" FOREIGN KEY ("staff_id") REFERENCES "staff"("id") ON DELETE RESTRICT ON UPDATE RESTRICT
);
CREATE INDEX "idempotency_key_begun_at_idx" ON "idempotency_key"("begun_at");
