-- A category below minor: worth watching, and asked about at the next inspection.
-- before: defect_category_known: only a category more is let through
ALTER TABLE "defect" DROP CONSTRAINT "defect_category_known";
ALTER TABLE "defect" ADD CONSTRAINT "defect_category_known" CHECK ("category" IN ('advisory', 'minor', 'major', 'dangerous'));

-- As before, and: an advisory is closed as a minor defect is, and what grounds is lowered to either by two alike.
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
    OR (OLD."status" IN ('open', 'deferred') AND NEW."status" = 'signed-off' AND OLD."category" IN ('advisory', 'minor') AND NEW."category" IN ('advisory', 'minor'))
  ) THEN
    RAISE EXCEPTION 'a defect does not go from % to %', OLD."status", NEW."status" USING ERRCODE = 'FR002';
  END IF;
  IF NEW."closed_at" IS NOT NULL THEN
    SELECT "role" = 'mechanic' OR 'mechanic' = ANY ("roles") AS "is_mechanic", "competences" INTO closer FROM "staff" WHERE "id" = NEW."closed_by";
    IF closer."is_mechanic" IS NOT TRUE OR NOT (NEW."competence" = ANY (closer."competences")) THEN
      RAISE EXCEPTION 'defect % is closed by a mechanic with the competence % only', OLD."id", NEW."competence" USING ERRCODE = 'FR002';
    END IF;
    IF NEW."status" = 'signed-off' AND NEW."second_person" AND EXISTS (
      SELECT FROM "defect_event" "work"
      WHERE "work"."defect_id" = OLD."id" AND "work"."kind" = 'repair' AND "work"."staff_id" = NEW."closed_by"
        AND "work"."performed_at" >= OLD."seen_at"
        -- What another workshop did was written down by somebody who did none of it.
        AND NOT EXISTS (SELECT FROM "entry_repair" "told" WHERE "told"."id" = "work"."id" AND "told"."outside_id" IS NOT NULL)
        AND NOT EXISTS (
          SELECT FROM "defect_event" "seen"
          WHERE "seen"."defect_id" = OLD."id" AND "seen"."kind" = 'sighting' AND "seen"."performed_at" > "work"."performed_at")
    ) THEN
      RAISE EXCEPTION 'defect % is not signed off by one of those who repaired it', OLD."id" USING ERRCODE = 'FR002';
    END IF;
    IF NEW."status" = 'not-found' AND NEW."second_person" AND NOT EXISTS (
      SELECT FROM "defect_event" "look"
      WHERE "look"."defect_id" = OLD."id" AND "look"."kind" = 'not-found' AND "look"."staff_id" <> NEW."closed_by"
    ) THEN
      RAISE EXCEPTION 'defect % takes two who find nothing', OLD."id" USING ERRCODE = 'FR002';
    END IF;
  END IF;
  IF OLD."category" IN ('major', 'dangerous') AND NEW."category" IN ('advisory', 'minor') AND OLD."second_person" AND NOT EXISTS (
    SELECT FROM "defect_event" "look" WHERE "look"."defect_id" = OLD."id" AND "look"."kind" = 're-grade'
  ) AND EXISTS (
    -- Under a policy that asks nobody for a second person, the depot's before the firm's, one is enough.
    SELECT FROM "machine" m JOIN "depot" p ON p."id" = m."depot_id" CROSS JOIN "firm" f
    WHERE m."id" = OLD."machine_id" AND coalesce(p."second_person", f."policy"->>'secondPerson', 'grounding') NOT IN ('off', 'false')
  ) THEN
    RAISE EXCEPTION 'defect % takes two to be lowered to %', OLD."id", NEW."category" USING ERRCODE = 'FR002';
  END IF;
  RETURN NEW;
END $$;
