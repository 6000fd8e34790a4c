-- Legal holds, and the forgetting of what was noted of a defect together with the entry that says it.

-- What is held: a machine, a depot, or the whole firm. Why stands in the entries.
CREATE TABLE "legal_hold" (
  "id" UUID NOT NULL,
  "machine_id" UUID,
  "depot_id" UUID,
  "placed_by" UUID NOT NULL,
  "placed_at" TIMESTAMPTZ(3) NOT NULL,
  "lifted_with" UUID,
  "lifted_by" UUID,
  "lifted_at" TIMESTAMPTZ(3),
  CONSTRAINT "legal_hold_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "legal_hold_is_of_one_thing" CHECK ("machine_id" IS NULL OR "depot_id" IS NULL),
  CONSTRAINT "legal_hold_lifted_by_somebody" CHECK (
    ("lifted_at" IS NULL) = ("lifted_by" IS NULL) AND ("lifted_at" IS NULL) = ("lifted_with" IS NULL)
  ),
  CONSTRAINT "legal_hold_id_fkey" FOREIGN KEY ("id") REFERENCES "ledger"("id") ON DELETE RESTRICT ON UPDATE RESTRICT,
  CONSTRAINT "legal_hold_lifted_with_fkey" FOREIGN KEY ("lifted_with") REFERENCES "ledger"("id") ON DELETE RESTRICT ON UPDATE RESTRICT
);

-- A hold is lifted, once, and nothing else of it changes.
CREATE FUNCTION "keep_the_hold"() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF OLD."lifted_at" IS NULL AND NEW."lifted_at" IS NOT NULL
     AND (NEW."id", NEW."machine_id", NEW."depot_id", NEW."placed_by", NEW."placed_at")
         IS NOT DISTINCT FROM (OLD."id", OLD."machine_id", OLD."depot_id", OLD."placed_by", OLD."placed_at")
  THEN
    RETURN NEW;
  END IF;
  RAISE EXCEPTION 'a record in % is never changed or removed', TG_TABLE_NAME USING ERRCODE = 'FR001';
END $$;
CREATE TRIGGER "legal_hold_is_only_lifted" BEFORE UPDATE ON "legal_hold" FOR EACH ROW EXECUTE FUNCTION "keep_the_hold"();
CREATE TRIGGER "legal_hold_is_not_removed" BEFORE DELETE ON "legal_hold" FOR EACH ROW EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "legal_hold_is_not_emptied" BEFORE TRUNCATE ON "legal_hold" FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();

CREATE OR REPLACE FUNCTION "keep_the_course"() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  closer RECORD;
BEGIN
  -- What was noted of it goes with the entry that says it, closed or not, and nothing else of it does.
  IF OLD."note" IS NOT NULL AND NEW."note" IS NULL AND to_jsonb(NEW) - 'note' = to_jsonb(OLD) - 'note'
     AND EXISTS (SELECT FROM "ledger" WHERE "id" = OLD."id" AND "data" IS NULL)
  THEN
    RETURN NEW;
  END IF;
  IF OLD."status" IN ('signed-off', 'not-found') THEN
    RAISE EXCEPTION 'defect % is closed', OLD."id" USING ERRCODE = 'FR002';
  END IF;
  IF (NEW."id", NEW."machine_id", NEW."item_id", NEW."origin", NEW."origin_id", NEW."reported_by", NEW."seen_at", NEW."recorded_at", NEW."note")
     IS DISTINCT FROM
     (OLD."id", OLD."machine_id", OLD."item_id", OLD."origin", OLD."origin_id", OLD."reported_by", OLD."seen_at", OLD."recorded_at", OLD."note") THEN
    RAISE EXCEPTION 'what was reported of defect % stays as reported', OLD."id" USING ERRCODE = 'FR002';
  END IF;
  IF NOT (
    OLD."status" = NEW."status"
    OR (OLD."status", NEW."status") IN (
      ('open', 'deferred'), ('open', 'repaired'), ('open', 'not-found'),
      ('deferred', 'open'), ('deferred', 'repaired'), ('deferred', 'not-found'),
      ('repaired', 'open'), ('repaired', 'signed-off'))
  ) THEN
    RAISE EXCEPTION 'a defect does not go from % to %', OLD."status", NEW."status" USING ERRCODE = 'FR002';
  END IF;
  IF NEW."closed_at" IS NOT NULL THEN
    SELECT "role", "competences" INTO closer FROM "staff" WHERE "id" = NEW."closed_by";
    IF closer."role" IS DISTINCT FROM 'mechanic' OR NOT (NEW."competence" = ANY (closer."competences")) THEN
      RAISE EXCEPTION 'defect % is closed by a mechanic with the competence % only', OLD."id", NEW."competence" USING ERRCODE = 'FR002';
    END IF;
    IF NEW."status" = 'signed-off' AND NEW."second_person" AND EXISTS (
      SELECT FROM "defect_event" "work"
      WHERE "work"."defect_id" = OLD."id" AND "work"."kind" = 'repair' AND "work"."staff_id" = NEW."closed_by"
        AND "work"."performed_at" >= OLD."seen_at"
        AND NOT EXISTS (
          SELECT FROM "defect_event" "seen"
          WHERE "seen"."defect_id" = OLD."id" AND "seen"."kind" = 'sighting' AND "seen"."performed_at" > "work"."performed_at")
    ) THEN
      RAISE EXCEPTION 'defect % is not signed off by one of those who repaired it', OLD."id" USING ERRCODE = 'FR002';
    END IF;
  END IF;
  RETURN NEW;
END $$;

-- Forgetting a note changes no count: comparing it with the machine, whose writers it does not wait for, could only see half of an act.
DROP TRIGGER "defect_grounding_agrees" ON "defect";
CREATE CONSTRAINT TRIGGER "defect_grounding_agrees" AFTER INSERT OR UPDATE OF "machine_id", "category", "status" ON "defect"
  DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION "grounding_agrees"();
