-- The public halves of all keys that ever signed here: each row is a statement about one key, signed by another of them or by itself, so that
-- somebody who can only write to the database cannot slip one in. Filled at the next start, from the keys that it is given.
CREATE TABLE "signing_key" (
  "kid" TEXT NOT NULL,
  "vouched_by" TEXT NOT NULL,
  "jws" TEXT NOT NULL,
  "added_at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "signing_key_pkey" PRIMARY KEY ("kid", "vouched_by")
);
CREATE TRIGGER "signing_key_is_append_only" BEFORE UPDATE OR DELETE ON "signing_key" FOR EACH ROW EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "signing_key_is_not_emptied" BEFORE TRUNCATE ON "signing_key" FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();

-- The data folders that hold, or held, this database's photos and packs, by the id that lies in each.
CREATE TABLE "data_folder" (
  "id" UUID NOT NULL,
  "added_at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "data_folder_pkey" PRIMARY KEY ("id")
);
CREATE TRIGGER "data_folder_is_append_only" BEFORE UPDATE OR DELETE ON "data_folder" FOR EACH ROW EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "data_folder_is_not_emptied" BEFORE TRUNCATE ON "data_folder" FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
