-- Checkpoints: all entries as leaves of one Merkle tree (RFC 6962), in the order in which they were sealed.

-- How many leaves the tree has. Whoever seals holds this row; nobody who writes records does.
CREATE TABLE "tree" (
  "only" BOOLEAN NOT NULL DEFAULT true,
  "size" BIGINT NOT NULL,
  CONSTRAINT "tree_pkey" PRIMARY KEY ("only"),
  CONSTRAINT "tree_there_is_one" CHECK ("only")
);
INSERT INTO "tree" VALUES (true, 0);

CREATE TABLE "sealed_entry" (
  "leaf_index" BIGINT NOT NULL,
  "entry_id" UUID NOT NULL,
  CONSTRAINT "sealed_entry_pkey" PRIMARY KEY ("leaf_index"),
  CONSTRAINT "sealed_entry_entry_id_fkey" FOREIGN KEY ("entry_id") REFERENCES "ledger"("id") ON DELETE RESTRICT ON UPDATE RESTRICT
);
CREATE UNIQUE INDEX "sealed_entry_entry_id_key" ON "sealed_entry"("entry_id");

-- Up to which place each chain is sealed. A chain has no gaps, so what lies behind that place is what the next checkpoint takes.
CREATE TABLE "sealed_chain" (
  "chain_id" UUID NOT NULL,
  "position" INTEGER NOT NULL,
  CONSTRAINT "sealed_chain_pkey" PRIMARY KEY ("chain_id")
);

-- The whole subtrees above the leaves; a leaf's own hash follows from its entry.
CREATE TABLE "tree_node" (
  "level" SMALLINT NOT NULL,
  "node_index" BIGINT NOT NULL,
  "sha256" BYTEA NOT NULL,
  CONSTRAINT "tree_node_pkey" PRIMARY KEY ("level", "node_index"),
  CONSTRAINT "tree_node_is_above_the_leaves" CHECK ("level" > 0),
  CONSTRAINT "tree_node_hash_is_whole" CHECK (octet_length("sha256") = 32)
);

CREATE TABLE "checkpoint" (
  "number" INTEGER NOT NULL,
  "tree_size" BIGINT NOT NULL,
  "root_sha256" BYTEA NOT NULL,
  "taken_at" TIMESTAMPTZ(3) NOT NULL,
  "kid" TEXT NOT NULL,
  "jws" TEXT NOT NULL,
  CONSTRAINT "checkpoint_pkey" PRIMARY KEY ("number"),
  CONSTRAINT "checkpoint_number_counts_from_one" CHECK ("number" > 0),
  CONSTRAINT "checkpoint_root_is_whole" CHECK (octet_length("root_sha256") = 32)
);

CREATE TRIGGER "sealed_entry_is_append_only" BEFORE UPDATE OR DELETE ON "sealed_entry" FOR EACH ROW EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "sealed_entry_is_not_emptied" BEFORE TRUNCATE ON "sealed_entry" FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "tree_node_is_append_only" BEFORE UPDATE OR DELETE ON "tree_node" FOR EACH ROW EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "tree_node_is_not_emptied" BEFORE TRUNCATE ON "tree_node" FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "checkpoint_is_append_only" BEFORE UPDATE OR DELETE ON "checkpoint" FOR EACH ROW EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "checkpoint_is_not_emptied" BEFORE TRUNCATE ON "checkpoint" FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "tree_is_not_removed" BEFORE DELETE ON "tree" FOR EACH ROW EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "sealed_chain_is_not_removed" BEFORE DELETE ON "sealed_chain" FOR EACH ROW EXECUTE FUNCTION "refuse_change"();
