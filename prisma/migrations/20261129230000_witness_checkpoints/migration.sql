-- What an authority outside says of a checkpoint: a time-stamp of RFC 3161, one for each at most, fetched after the checkpoint was committed.
CREATE TABLE "checkpoint_time_stamp" (
  "number" INTEGER NOT NULL,
  "token" BYTEA NOT NULL,
  "stamped_at" TIMESTAMPTZ(3) NOT NULL,
  "authority" TEXT NOT NULL,
  "is_believed" BOOLEAN NOT NULL,
  "received_at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "checkpoint_time_stamp_pkey" PRIMARY KEY ("number"),
  CONSTRAINT "checkpoint_time_stamp_token_is_no_more" CHECK (octet_length("token") BETWEEN 1 AND 65536),
  CONSTRAINT "checkpoint_time_stamp_number_fkey" FOREIGN KEY ("number") REFERENCES "checkpoint"("number") ON DELETE RESTRICT ON UPDATE RESTRICT
);
CREATE TRIGGER "checkpoint_time_stamp_is_append_only" BEFORE UPDATE OR DELETE ON "checkpoint_time_stamp" FOR EACH ROW EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "checkpoint_time_stamp_is_not_emptied" BEFORE TRUNCATE ON "checkpoint_time_stamp" FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
