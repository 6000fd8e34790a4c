-- The parts that a firm fits, known by a number that is compared without spaces and case, and what one costs from which day on. The entries have
-- what stood there before.
CREATE TABLE "part" (
  "key" TEXT NOT NULL,
  "number" TEXT NOT NULL,
  "name" TEXT NOT NULL,
  "entry_id" UUID NOT NULL,
  "kept_at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "part_pkey" PRIMARY KEY ("key"),
  CONSTRAINT "part_has_a_number" CHECK ("key" <> ''),
  CONSTRAINT "part_entry_id_fkey" FOREIGN KEY ("entry_id") REFERENCES "ledger"("id") ON DELETE RESTRICT ON UPDATE RESTRICT
);

CREATE TABLE "part_price" (
  "part_key" TEXT NOT NULL,
  "from_day" DATE NOT NULL,
  "price_minor" BIGINT NOT NULL,
  "currency" TEXT NOT NULL,
  "entry_id" UUID NOT NULL,
  CONSTRAINT "part_price_pkey" PRIMARY KEY ("part_key", "from_day"),
  CONSTRAINT "part_price_is_no_debt" CHECK ("price_minor" >= 0),
  CONSTRAINT "part_price_part_key_fkey" FOREIGN KEY ("part_key") REFERENCES "part"("key") ON DELETE RESTRICT ON UPDATE RESTRICT,
  CONSTRAINT "part_price_entry_id_fkey" FOREIGN KEY ("entry_id") REFERENCES "ledger"("id") ON DELETE RESTRICT ON UPDATE RESTRICT
);
