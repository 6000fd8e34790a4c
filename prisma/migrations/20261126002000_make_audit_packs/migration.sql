-- Audit packs: the order, how far it has come, and what came out. A job that a restart does not lose.
CREATE TABLE "audit_pack" (
  "id" UUID NOT NULL,
  "month" TEXT NOT NULL,
  "depot_id" UUID,
  "requested_by" UUID NOT NULL,
  "requested_at" TIMESTAMPTZ(3) NOT NULL,
  "state" TEXT NOT NULL,
  "progress" DOUBLE PRECISION NOT NULL DEFAULT 0,
  "attempts" INTEGER NOT NULL DEFAULT 0,
  "worker" UUID,
  "seen_at" TIMESTAMPTZ(3),
  "counts" JSONB,
  "checkpoint" INTEGER,
  "bytes" BIGINT,
  "sha256" BYTEA,
  "failure" TEXT,
  "ended_at" TIMESTAMPTZ(3),
  CONSTRAINT "audit_pack_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "audit_pack_state_known" CHECK ("state" IN ('waiting', 'working', 'ready', 'failed')),
  CONSTRAINT "audit_pack_progress_is_a_share" CHECK ("progress" >= 0 AND "progress" <= 1),
  CONSTRAINT "audit_pack_ready_is_whole" CHECK (
    ("state" = 'ready') = ("sha256" IS NOT NULL) AND ("state" = 'ready') = ("bytes" IS NOT NULL) AND ("state" = 'ready') = ("checkpoint" IS NOT NULL)
  ),
  CONSTRAINT "audit_pack_failed_says_why" CHECK (("state" = 'failed') = ("failure" IS NOT NULL)),
  CONSTRAINT "audit_pack_ended_at_its_end" CHECK (("state" IN ('ready', 'failed')) = ("ended_at" IS NOT NULL))
);
-- Asked for twice while it is being made, it is the same one.
CREATE UNIQUE INDEX "audit_pack_one_at_work" ON "audit_pack"("month", coalesce("depot_id", '00000000-0000-0000-0000-000000000000'))
  WHERE "state" IN ('waiting', 'working');
CREATE INDEX "audit_pack_state_requested_at_idx" ON "audit_pack"("state", "requested_at");
