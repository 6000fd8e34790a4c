-- A secret that somebody else has set is a one-time code: it opens the choice of one's own secret, and nothing else, until it runs out.
-- Secrets that were set before this stay as they are: their people go on signing in with them.
ALTER TABLE "staff" ADD COLUMN "code_expires_at" TIMESTAMPTZ(3);

-- When somebody's secret was set by another person, and when they chose one of their own: read beside what they sign within a day of it.
CREATE TABLE "secret_event" (
  "id" UUID NOT NULL,
  "staff_id" UUID NOT NULL,
  "kind" TEXT NOT NULL,
  "at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "secret_event_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "secret_event_id_fkey" FOREIGN KEY ("id") REFERENCES "ledger"("id") ON DELETE RESTRICT ON UPDATE RESTRICT,
  CONSTRAINT "secret_event_staff_id_fkey" FOREIGN KEY ("staff_id") REFERENCES "staff"("id") ON DELETE RESTRICT ON UPDATE RESTRICT,
  CONSTRAINT "secret_event_kind_known" CHECK ("kind" IN ('set', 'chosen', 'changed'))
);
CREATE INDEX "secret_event_staff_id_at_idx" ON "secret_event"("staff_id", "at");
CREATE TRIGGER "secret_event_is_append_only" BEFORE UPDATE OR DELETE ON "secret_event" FOR EACH ROW EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "secret_event_is_not_emptied" BEFORE TRUNCATE ON "secret_event" FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();

-- What the records of people say of secrets that managers set until now.
INSERT INTO "secret_event" ("id", "staff_id", "kind", "at")
SELECT l."id", s."id", 'set', l."recorded_at" FROM "ledger" l JOIN "staff" s ON s."id"::text = l."data"->>'personId'
WHERE l."kind" = 'person-added' OR (l."kind" = 'person-amended' AND l."data"->'changed' ? 'secret');
