-- Wrong secrets are counted by where they come from, so that whoever guesses is slowed down and the owner's own device is not.
-- staff.failed_sign_ins and staff.locked_until stay for processes that still run the code before this; nothing reads them after it.
CREATE TABLE "sign_in_failure" (
  "staff_id" UUID NOT NULL,
  "source" TEXT NOT NULL,
  "failures" INTEGER NOT NULL,
  "counted_since" TIMESTAMPTZ(3) NOT NULL,
  "locked_until" TIMESTAMPTZ(3),
  CONSTRAINT "sign_in_failure_pkey" PRIMARY KEY ("staff_id", "source"),
  CONSTRAINT "sign_in_failure_staff_id_fkey" FOREIGN KEY ("staff_id") REFERENCES "staff"("id") ON DELETE RESTRICT ON UPDATE RESTRICT
);
CREATE INDEX "sign_in_failure_counted_since_idx" ON "sign_in_failure"("counted_since");

CREATE TABLE "known_device" (
  "staff_id" UUID NOT NULL,
  "token_hash" TEXT NOT NULL,
  "used_at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "known_device_pkey" PRIMARY KEY ("staff_id", "token_hash"),
  CONSTRAINT "known_device_staff_id_fkey" FOREIGN KEY ("staff_id") REFERENCES "staff"("id") ON DELETE RESTRICT ON UPDATE RESTRICT
);
