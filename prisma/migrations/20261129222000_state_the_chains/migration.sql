-- A checkpoint states each chain's length and last hash, so that nothing can be left out of what is shown against it.
-- Both are null in checkpoints from before this, and in those of a process that still runs the code from before.
ALTER TABLE "checkpoint" ADD COLUMN "chain_count" INTEGER;
ALTER TABLE "checkpoint" ADD COLUMN "chains_sha256" BYTEA;
ALTER TABLE "checkpoint" ADD CONSTRAINT "checkpoint_chains_are_stated_whole" CHECK (
  ("chain_count" IS NULL) = ("chains_sha256" IS NULL) AND ("chains_sha256" IS NULL OR octet_length("chains_sha256") = 32)
);

-- The chains as the first so many leaves have them, in the order of their ids: how long each is, and the hash of its last entry.
-- A chain's entries became leaves in their order, so what came later tells where it ended before.
CREATE FUNCTION "sealed_chains"("leaves" BIGINT) RETURNS TABLE ("chain_id" UUID, "length" INTEGER, "sha256" BYTEA) LANGUAGE sql STABLE AS $$
  WITH "later" AS (
    SELECT "l"."chain_id", min("l"."position") - 1 AS "length"
    FROM "sealed_entry" "e" JOIN "ledger" "l" ON "l"."id" = "e"."entry_id" WHERE "e"."leaf_index" >= "leaves" GROUP BY "l"."chain_id"),
  "ended" AS (
    SELECT "s"."chain_id", coalesce("later"."length", "s"."position") AS "length"
    FROM "sealed_chain" "s" LEFT JOIN "later" ON "later"."chain_id" = "s"."chain_id")
  SELECT "ended"."chain_id", "ended"."length", "l"."sha256"
  FROM "ended" JOIN "ledger" "l" ON "l"."chain_id" = "ended"."chain_id" AND "l"."position" = "ended"."length"
  JOIN "sealed_entry" "e" ON "e"."entry_id" = "l"."id" AND "e"."leaf_index" < "leaves"
  ORDER BY "ended"."chain_id"
$$;

-- What a checkpoint of so many leaves states of them: SHA-256 over the SHA-256s of their lines, each line canonical JSON.
-- `entries` are all that they hold together, which has to be the number of leaves.
CREATE FUNCTION "chain_list"("leaves" BIGINT) RETURNS TABLE ("chains" INTEGER, "entries" BIGINT, "list_sha256" BYTEA) LANGUAGE sql STABLE AS $$
  SELECT count(*)::int, coalesce(sum("c"."length"), 0)::bigint, sha256(coalesce(string_agg(sha256(convert_to(
    format('{"chainId":"%s","length":%s,"sha256":"%s"}', "c"."chain_id", "c"."length", encode("c"."sha256", 'hex')), 'UTF8')),
    ''::bytea ORDER BY "c"."chain_id"), ''::bytea))
  FROM "sealed_chains"("leaves") "c"
$$;

-- What is stated is what is stored: nobody signs another list.
CREATE FUNCTION "state_the_chains"() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  found RECORD;
BEGIN
  IF NEW."chains_sha256" IS NULL THEN
    RETURN NEW;
  END IF;
  SELECT * INTO found FROM "chain_list"(NEW."tree_size");
  IF (found."chains", found."entries", found."list_sha256") IS DISTINCT FROM (NEW."chain_count", NEW."tree_size", NEW."chains_sha256") THEN
    RAISE EXCEPTION 'checkpoint % does not state the chains as they are sealed', NEW."number" USING ERRCODE = 'FR001';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER "checkpoint_states_the_chains" BEFORE INSERT ON "checkpoint" FOR EACH ROW EXECUTE FUNCTION "state_the_chains"();
