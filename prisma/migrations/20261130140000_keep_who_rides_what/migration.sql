-- Who rides what on a depot's day, as it was last kept; the entries have what was kept before.
CREATE TABLE "allocation" (
  "depot_id" UUID NOT NULL,
  "day" DATE NOT NULL,
  "revision" INTEGER NOT NULL,
  "entry_id" UUID NOT NULL,
  "kept_by" UUID NOT NULL,
  "kept_at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "allocation_pkey" PRIMARY KEY ("depot_id", "day"),
  CONSTRAINT "allocation_revision_counts" CHECK ("revision" >= 1),
  CONSTRAINT "allocation_depot_id_fkey" FOREIGN KEY ("depot_id") REFERENCES "depot"("id") ON DELETE RESTRICT ON UPDATE RESTRICT,
  CONSTRAINT "allocation_entry_id_fkey" FOREIGN KEY ("entry_id") REFERENCES "ledger"("id") ON DELETE RESTRICT ON UPDATE RESTRICT
);
CREATE UNIQUE INDEX "allocation_entry_id_key" ON "allocation"("entry_id");

-- Nobody has two machines of one depot on a day.
CREATE TABLE "allocation_line" (
  "depot_id" UUID NOT NULL,
  "day" DATE NOT NULL,
  "staff_id" UUID NOT NULL,
  "machine_id" UUID NOT NULL,
  CONSTRAINT "allocation_line_pkey" PRIMARY KEY ("depot_id", "day", "staff_id"),
  CONSTRAINT "allocation_line_depot_id_day_fkey" FOREIGN KEY ("depot_id", "day") REFERENCES "allocation"("depot_id", "day") ON DELETE RESTRICT ON UPDATE RESTRICT,
  CONSTRAINT "allocation_line_staff_id_fkey" FOREIGN KEY ("staff_id") REFERENCES "staff"("id") ON DELETE RESTRICT ON UPDATE RESTRICT,
  CONSTRAINT "allocation_line_machine_id_fkey" FOREIGN KEY ("machine_id") REFERENCES "machine"("id") ON DELETE RESTRICT ON UPDATE RESTRICT
);
-- And no machine is given to two people.
CREATE UNIQUE INDEX "allocation_line_depot_id_day_machine_id_key" ON "allocation_line"("depot_id", "day", "machine_id");
-- A phone asks for its rider's own lines.
CREATE INDEX "allocation_line_staff_id_day_idx" ON "allocation_line"("staff_id", "day");
