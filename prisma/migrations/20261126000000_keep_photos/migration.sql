-- Photos: what is known of each, and which records name it. The bytes lie on the shelf, by their hash.

CREATE TABLE "photo" (
  "id" UUID NOT NULL,
  "sha256" BYTEA NOT NULL,
  "type" TEXT NOT NULL,
  "width_px" INTEGER NOT NULL,
  "height_px" INTEGER NOT NULL,
  "bytes" INTEGER NOT NULL,
  -- Of the bytes as they were sent: by it the same again is told from something else under the same id.
  "sent_sha256" BYTEA NOT NULL,
  "added_by" UUID NOT NULL,
  "added_at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "photo_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "photo_hashes_are_whole" CHECK (octet_length("sha256") = 32 AND octet_length("sent_sha256") = 32),
  CONSTRAINT "photo_type_known" CHECK ("type" IN ('image/jpeg', 'image/png', 'image/webp')),
  CONSTRAINT "photo_is_not_empty" CHECK ("width_px" > 0 AND "height_px" > 0 AND "bytes" > 0)
);
CREATE INDEX "photo_sha256_idx" ON "photo"("sha256");

-- The photo named need not be there yet: a phone with a bad signal sends the record first.
CREATE TABLE "photo_use" (
  "photo_id" UUID NOT NULL,
  "entry_id" UUID NOT NULL,
  "machine_id" UUID NOT NULL,
  "defect_id" UUID,
  "staff_id" UUID NOT NULL,
  CONSTRAINT "photo_use_pkey" PRIMARY KEY ("photo_id", "entry_id"),
  CONSTRAINT "photo_use_entry_id_fkey" FOREIGN KEY ("entry_id") REFERENCES "ledger"("id") ON DELETE RESTRICT ON UPDATE RESTRICT
);
CREATE INDEX "photo_use_defect_id_idx" ON "photo_use"("defect_id");

CREATE TRIGGER "photo_is_append_only" BEFORE UPDATE OR DELETE ON "photo" FOR EACH ROW EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "photo_is_not_emptied" BEFORE TRUNCATE ON "photo" FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "photo_use_is_append_only" BEFORE UPDATE OR DELETE ON "photo_use" FOR EACH ROW EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "photo_use_is_not_emptied" BEFORE TRUNCATE ON "photo_use" FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
