-- A weekly inspection is a signature: it takes the competence `inspection`, and releases nothing that one person alone may not release.

-- When steering, wheels and brakes take a second person at this depot; null: as the firm's policy says.
ALTER TABLE "depot" ADD COLUMN "second_person" TEXT;
ALTER TABLE "depot" ADD CONSTRAINT "depot_second_person_known" CHECK ("second_person" IN ('grounding', 'all', 'off'));

-- Changes of what is stored that take the rooms' own doors, since they are recorded: which of them this store has behind it. A firm that is
-- founded after such a change has nothing to change.
ALTER TABLE "firm" ADD COLUMN "carried_out" TEXT[] DEFAULT ARRAY[]::TEXT[];

-- Who gave each answer of a draft, by item: whoever measured stands in the record beside the one who signs.
ALTER TABLE "inspection_draft" ADD COLUMN "answered_by" JSONB NOT NULL DEFAULT '{}';
UPDATE "inspection_draft" d SET "answered_by" = (
  SELECT coalesce(jsonb_object_agg(a.value->>'itemId', d."saved_by"), '{}') FROM jsonb_array_elements(d."body"->'answers') a);

CREATE FUNCTION "sign_the_inspection"() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  signer RECORD;
BEGIN
  SELECT "role", "competences" INTO signer FROM "staff" WHERE "id" = NEW."staff_id";
  IF signer."role" IS DISTINCT FROM 'mechanic' OR NOT ('inspection' = ANY (signer."competences")) THEN
    RAISE EXCEPTION 'a weekly inspection is signed by a mechanic with the competence inspection only' USING ERRCODE = 'FR002';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER "weekly_inspection_is_signed" BEFORE INSERT ON "weekly_inspection" FOR EACH ROW EXECUTE FUNCTION "sign_the_inspection"();

-- A defect begins as open; or, where an inspection found it and put it right on the spot, as repaired, and waits for its sign-off.
CREATE OR REPLACE FUNCTION "begin_the_course"() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF NEW."status" <> 'open' AND NOT (NEW."status" = 'repaired' AND NEW."origin" = 'weekly-inspection' AND NEW."repaired_by" IS NOT NULL) THEN
    RAISE EXCEPTION 'a defect begins as open' USING ERRCODE = 'FR002';
  END IF;
  RETURN NEW;
END $$;

-- As before, and: an inspection closes a minor defect with its repair in one step; two people have to find nothing, or have to lower a
-- grounding defect to minor, where it takes a second person.
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
    OR (OLD."status" IN ('open', 'deferred') AND NEW."status" = 'signed-off' AND OLD."category" = 'minor' AND NEW."category" = 'minor')
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
    IF NEW."status" = 'not-found' AND NEW."second_person" AND NOT EXISTS (
      SELECT FROM "defect_event" "look"
      WHERE "look"."defect_id" = OLD."id" AND "look"."kind" = 'not-found' AND "look"."staff_id" <> NEW."closed_by"
    ) THEN
      RAISE EXCEPTION 'defect % takes two who find nothing', OLD."id" USING ERRCODE = 'FR002';
    END IF;
  END IF;
  IF OLD."category" <> 'minor' AND NEW."category" = 'minor' AND OLD."second_person" AND NOT EXISTS (
    SELECT FROM "defect_event" "look" WHERE "look"."defect_id" = OLD."id" AND "look"."kind" = 're-grade'
  ) AND EXISTS (
    -- Under a policy that asks nobody for a second person, the depot's before the firm's, one is enough.
    SELECT FROM "machine" m JOIN "depot" p ON p."id" = m."depot_id" CROSS JOIN "firm" f
    WHERE m."id" = OLD."machine_id" AND coalesce(p."second_person", f."policy"->>'secondPerson', 'grounding') NOT IN ('off', 'false')
  ) THEN
    RAISE EXCEPTION 'defect % takes two to be lowered to minor', OLD."id" USING ERRCODE = 'FR002';
  END IF;
  RETURN NEW;
END $$;

-- An inspection that closes a minor defect in one step tells its repair in the same breath: looked for at the commit, since one statement
-- writes both.
CREATE FUNCTION "sign_off_what_was_repaired"() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF NOT EXISTS (SELECT FROM "defect_event" WHERE "defect_id" = NEW."id" AND "kind" = 'repair') THEN
    RAISE EXCEPTION 'defect % is signed off without a repair', NEW."id" USING ERRCODE = 'FR002';
  END IF;
  RETURN NULL;
END $$;
CREATE CONSTRAINT TRIGGER "defect_sign_off_follows_a_repair" AFTER UPDATE ON "defect"
  DEFERRABLE INITIALLY DEFERRED FOR EACH ROW WHEN (OLD."status" IN ('open', 'deferred') AND NEW."status" = 'signed-off')
  EXECUTE FUNCTION "sign_off_what_was_repaired"();
