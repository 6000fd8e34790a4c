-- The tables. Plain Prisma shape first; what makes them trustworthy (checks, partial keys, triggers) follows below.

CREATE TABLE "firm" (
  "id" UUID NOT NULL,
  "only" BOOLEAN NOT NULL DEFAULT true,
  "name" TEXT NOT NULL,
  "demo" BOOLEAN NOT NULL DEFAULT false,
  "policy" JSONB NOT NULL,
  "record_count" INTEGER NOT NULL DEFAULT 0,
  CONSTRAINT "firm_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "firm_there_is_one" CHECK ("only")
);
CREATE UNIQUE INDEX "firm_only_key" ON "firm"("only");

CREATE TABLE "depot" (
  "id" UUID NOT NULL,
  "name" TEXT NOT NULL,
  "time_zone" TEXT NOT NULL,
  "rule_set" TEXT NOT NULL,
  "workshop_hours_per_day" DECIMAL(5,2) NOT NULL,
  "added_at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "depot_pkey" PRIMARY KEY ("id")
);
CREATE UNIQUE INDEX "depot_name_key" ON "depot"("name");

CREATE TABLE "machine_model" (
  "id" UUID NOT NULL,
  "name" TEXT NOT NULL,
  "engine_cc" INTEGER,
  "features" JSONB NOT NULL,
  "handbook" JSONB NOT NULL,
  "revision" INTEGER NOT NULL DEFAULT 1,
  "added_at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "machine_model_pkey" PRIMARY KEY ("id")
);
CREATE UNIQUE INDEX "machine_model_name_key" ON "machine_model"("name");

CREATE TABLE "machine" (
  "id" UUID NOT NULL,
  "registration_mark" TEXT NOT NULL,
  "vin" TEXT,
  "model_id" UUID NOT NULL,
  "depot_id" UUID NOT NULL,
  "in_service_from" DATE NOT NULL,
  "added_at" TIMESTAMPTZ(3) NOT NULL,
  "record_count" INTEGER NOT NULL,
  "open_grounding" INTEGER NOT NULL DEFAULT 0,
  "state" JSONB NOT NULL,
  CONSTRAINT "machine_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "machine_mark_compact" CHECK ("registration_mark" = upper("registration_mark") AND "registration_mark" !~ '\s'),
  CONSTRAINT "machine_model_id_fkey" FOREIGN KEY ("model_id") REFERENCES "machine_model"("id") ON DELETE RESTRICT ON UPDATE RESTRICT,
  CONSTRAINT "machine_depot_id_fkey" FOREIGN KEY ("depot_id") REFERENCES "depot"("id") ON DELETE RESTRICT ON UPDATE RESTRICT
-- Every act rewrites the machine's state: with room left on the page the new row stays there and no index is touched.
) WITH (fillfactor = 50);
CREATE UNIQUE INDEX "machine_registration_mark_key" ON "machine"("registration_mark");
CREATE INDEX "machine_depot_id_registration_mark_idx" ON "machine"("depot_id", "registration_mark");

CREATE TABLE "machine_state_history" (
  "machine_id" UUID NOT NULL,
  "position" INTEGER NOT NULL,
  "depot_id" UUID NOT NULL,
  "recorded_at" TIMESTAMPTZ(3) NOT NULL,
  "state" JSONB NOT NULL,
  CONSTRAINT "machine_state_history_pkey" PRIMARY KEY ("machine_id", "position")
);
CREATE INDEX "machine_state_history_machine_id_recorded_at_idx" ON "machine_state_history"("machine_id", "recorded_at" DESC);

CREATE TABLE "ledger" (
  "id" UUID NOT NULL,
  "chain_id" UUID NOT NULL,
  "position" INTEGER NOT NULL,
  "kind" TEXT NOT NULL,
  "version" SMALLINT NOT NULL,
  "machine_id" UUID,
  "depot_id" UUID,
  "staff_id" UUID,
  "performed_at" TIMESTAMPTZ(3) NOT NULL,
  "recorded_at" TIMESTAMPTZ(3) NOT NULL,
  "data" JSONB,
  "salt" BYTEA,
  "data_sha256" BYTEA NOT NULL,
  "sha256" BYTEA NOT NULL,
  "forgotten_by" UUID,
  CONSTRAINT "ledger_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "ledger_position_counts_from_one" CHECK ("position" > 0),
  CONSTRAINT "ledger_hashes_are_whole" CHECK (octet_length("data_sha256") = 32 AND octet_length("sha256") = 32 AND octet_length("salt") = 16),
  -- What an entry says goes only by an entry that says so, and its salt goes with it.
  CONSTRAINT "ledger_data_is_there_or_forgotten" CHECK (
    ("data" IS NULL) = ("forgotten_by" IS NOT NULL) AND ("data" IS NULL) = ("salt" IS NULL)
  ),
  CONSTRAINT "ledger_machine_is_its_own_chain" CHECK ("machine_id" IS NULL OR "machine_id" = "chain_id")
);
CREATE UNIQUE INDEX "ledger_chain_id_position_key" ON "ledger"("chain_id", "position");
CREATE INDEX "ledger_recorded_at_id_idx" ON "ledger"("recorded_at", "id");

CREATE TABLE "paper" (
  "id" UUID NOT NULL,
  "machine_id" UUID NOT NULL,
  "kind" TEXT NOT NULL,
  "number" TEXT NOT NULL,
  "valid_from" DATE NOT NULL,
  "valid_to" DATE NOT NULL,
  "recorded_at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "paper_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "paper_ends_after_it_begins" CHECK ("valid_to" >= "valid_from"),
  CONSTRAINT "paper_id_fkey" FOREIGN KEY ("id") REFERENCES "ledger"("id") ON DELETE RESTRICT ON UPDATE RESTRICT
);
CREATE INDEX "paper_machine_id_kind_idx" ON "paper"("machine_id", "kind");

CREATE TABLE "staff" (
  "id" UUID NOT NULL,
  "staff_number" TEXT NOT NULL,
  "name" TEXT NOT NULL,
  "role" TEXT NOT NULL,
  "all_depots" BOOLEAN NOT NULL DEFAULT false,
  "competences" TEXT[],
  "licence_class" TEXT,
  "secret_hash" TEXT NOT NULL,
  "failed_sign_ins" INTEGER NOT NULL DEFAULT 0,
  "locked_until" TIMESTAMPTZ(3),
  "added_at" TIMESTAMPTZ(3) NOT NULL,
  "left_at" TIMESTAMPTZ(3),
  CONSTRAINT "staff_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "staff_role_known" CHECK ("role" IN ('rider', 'mechanic', 'manager', 'auditor')),
  CONSTRAINT "staff_competence_is_a_mechanics" CHECK ("role" = 'mechanic' OR cardinality("competences") = 0)
);
CREATE UNIQUE INDEX "staff_staff_number_key" ON "staff"("staff_number");

CREATE TABLE "staff_depot" (
  "staff_id" UUID NOT NULL,
  "depot_id" UUID NOT NULL,
  CONSTRAINT "staff_depot_pkey" PRIMARY KEY ("staff_id", "depot_id"),
  CONSTRAINT "staff_depot_staff_id_fkey" FOREIGN KEY ("staff_id") REFERENCES "staff"("id") ON DELETE RESTRICT ON UPDATE RESTRICT,
  CONSTRAINT "staff_depot_depot_id_fkey" FOREIGN KEY ("depot_id") REFERENCES "depot"("id") ON DELETE RESTRICT ON UPDATE RESTRICT
);

CREATE TABLE "session" (
  "id" UUID NOT NULL,
  "staff_id" UUID NOT NULL,
  "started_at" TIMESTAMPTZ(3) NOT NULL,
  "expires_at" TIMESTAMPTZ(3) NOT NULL,
  "ended_at" TIMESTAMPTZ(3),
  "ended_why" TEXT,
  CONSTRAINT "session_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "session_staff_id_fkey" FOREIGN KEY ("staff_id") REFERENCES "staff"("id") ON DELETE RESTRICT ON UPDATE RESTRICT
);
CREATE INDEX "session_staff_id_idx" ON "session"("staff_id");

CREATE TABLE "refresh_token" (
  "token_hash" TEXT NOT NULL,
  "session_id" UUID NOT NULL,
  "issued_at" TIMESTAMPTZ(3) NOT NULL,
  "used_at" TIMESTAMPTZ(3),
  CONSTRAINT "refresh_token_pkey" PRIMARY KEY ("token_hash"),
  CONSTRAINT "refresh_token_session_id_fkey" FOREIGN KEY ("session_id") REFERENCES "session"("id") ON DELETE CASCADE ON UPDATE RESTRICT
);
CREATE INDEX "refresh_token_session_id_idx" ON "refresh_token"("session_id");

CREATE TABLE "daily_check" (
  "id" UUID NOT NULL,
  "machine_id" UUID NOT NULL,
  "depot_id" UUID NOT NULL,
  "staff_id" UUID NOT NULL,
  "local_day" DATE NOT NULL,
  "performed_at" TIMESTAMPTZ(3) NOT NULL,
  "recorded_at" TIMESTAMPTZ(3) NOT NULL,
  "duration_seconds" INTEGER NOT NULL,
  "odometer_km" INTEGER NOT NULL,
  "defect_count" INTEGER NOT NULL,
  "decision" TEXT NOT NULL,
  "valid_until" TIMESTAMPTZ(3),
  "flags" TEXT[],
  CONSTRAINT "daily_check_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "daily_check_decision_known" CHECK ("decision" IN ('ride', 'ride-with-defects', 'do-not-ride')),
  CONSTRAINT "daily_check_only_a_clearance_has_an_end" CHECK (("decision" = 'do-not-ride') = ("valid_until" IS NULL)),
  CONSTRAINT "daily_check_id_fkey" FOREIGN KEY ("id") REFERENCES "ledger"("id") ON DELETE RESTRICT ON UPDATE RESTRICT
);
CREATE INDEX "daily_check_machine_id_performed_at_idx" ON "daily_check"("machine_id", "performed_at");
CREATE INDEX "daily_check_staff_id_id_idx" ON "daily_check"("staff_id", "id");
CREATE INDEX "daily_check_depot_id_local_day_idx" ON "daily_check"("depot_id", "local_day");

CREATE TABLE "weekly_inspection" (
  "id" UUID NOT NULL,
  "machine_id" UUID NOT NULL,
  "depot_id" UUID NOT NULL,
  "staff_id" UUID NOT NULL,
  "local_day" DATE NOT NULL,
  "performed_at" TIMESTAMPTZ(3) NOT NULL,
  "recorded_at" TIMESTAMPTZ(3) NOT NULL,
  "odometer_km" INTEGER NOT NULL,
  "defect_count" INTEGER NOT NULL,
  "flags" TEXT[],
  CONSTRAINT "weekly_inspection_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "weekly_inspection_id_fkey" FOREIGN KEY ("id") REFERENCES "ledger"("id") ON DELETE RESTRICT ON UPDATE RESTRICT
);
CREATE INDEX "weekly_inspection_machine_id_performed_at_idx" ON "weekly_inspection"("machine_id", "performed_at");
CREATE INDEX "weekly_inspection_depot_id_local_day_idx" ON "weekly_inspection"("depot_id", "local_day");

-- An inspection that is not finished is no record yet: it changes as it is typed and goes when it is submitted or left lying, so
-- nothing here forbids either.
CREATE TABLE "inspection_draft" (
  "id" UUID NOT NULL,
  "machine_id" UUID NOT NULL,
  "revision" INTEGER NOT NULL,
  "body" JSONB NOT NULL,
  "begun_by" UUID NOT NULL,
  "begun_at" TIMESTAMPTZ(3) NOT NULL,
  "saved_by" UUID NOT NULL,
  "saved_at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "inspection_draft_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "inspection_draft_revision_counts_from_one" CHECK ("revision" > 0)
);
CREATE INDEX "inspection_draft_machine_id_idx" ON "inspection_draft"("machine_id");
CREATE INDEX "inspection_draft_saved_at_idx" ON "inspection_draft"("saved_at");

CREATE TABLE "defect" (
  "id" UUID NOT NULL,
  "machine_id" UUID NOT NULL,
  "depot_id" UUID NOT NULL,
  "item_id" TEXT,
  "observation_ids" TEXT[],
  "note" TEXT,
  "category" TEXT NOT NULL,
  "status" TEXT NOT NULL,
  "origin" TEXT NOT NULL,
  "origin_id" UUID NOT NULL,
  "reported_by" UUID NOT NULL,
  "seen_at" TIMESTAMPTZ(3) NOT NULL,
  "recorded_at" TIMESTAMPTZ(3) NOT NULL,
  "competence" TEXT NOT NULL,
  "second_person" BOOLEAN NOT NULL,
  "quantity" TEXT,
  "due_day" DATE,
  "recurring_of" UUID,
  "signed_off_between" UUID,
  "sightings" INTEGER NOT NULL DEFAULT 1,
  "repaired_by" UUID,
  "closed_by" UUID,
  "closed_at" TIMESTAMPTZ(3),
  "closing_reading" JSONB,
  CONSTRAINT "defect_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "defect_category_known" CHECK ("category" IN ('minor', 'major', 'dangerous')),
  CONSTRAINT "defect_status_known" CHECK ("status" IN ('open', 'deferred', 'repaired', 'signed-off', 'not-found')),
  CONSTRAINT "defect_closed_by_somebody" CHECK (
    ("status" IN ('signed-off', 'not-found')) = ("closed_at" IS NOT NULL)
    AND ("closed_at" IS NULL) = ("closed_by" IS NULL)
  ),
  CONSTRAINT "defect_signed_off_after_a_repair" CHECK ("status" <> 'signed-off' OR "repaired_by" IS NOT NULL),
  CONSTRAINT "defect_second_person" CHECK ("status" <> 'signed-off' OR NOT "second_person" OR "closed_by" <> "repaired_by"),
  CONSTRAINT "defect_closed_with_a_reading" CHECK ("closed_at" IS NULL OR "quantity" IS NULL OR "closing_reading" IS NOT NULL),
  CONSTRAINT "defect_only_minor_is_deferred" CHECK ("status" <> 'deferred' OR "category" = 'minor'),
  CONSTRAINT "defect_id_fkey" FOREIGN KEY ("id") REFERENCES "ledger"("id") ON DELETE RESTRICT ON UPDATE RESTRICT
);
CREATE INDEX "defect_machine_id_status_idx" ON "defect"("machine_id", "status");
CREATE INDEX "defect_depot_id_seen_at_idx" ON "defect"("depot_id", "seen_at");
-- The same defect reported again is a sighting of the open one, never a second.
CREATE UNIQUE INDEX "defect_one_open_per_item" ON "defect"("machine_id", "item_id")
  WHERE "item_id" IS NOT NULL AND "status" IN ('open', 'deferred', 'repaired');

CREATE TABLE "defect_event" (
  "id" UUID NOT NULL,
  "defect_id" UUID NOT NULL,
  "kind" TEXT NOT NULL,
  "staff_id" UUID NOT NULL,
  "performed_at" TIMESTAMPTZ(3) NOT NULL,
  "recorded_at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "defect_event_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "defect_event_id_fkey" FOREIGN KEY ("id") REFERENCES "ledger"("id") ON DELETE RESTRICT ON UPDATE RESTRICT,
  CONSTRAINT "defect_event_defect_id_fkey" FOREIGN KEY ("defect_id") REFERENCES "defect"("id") ON DELETE RESTRICT ON UPDATE RESTRICT
);
CREATE INDEX "defect_event_defect_id_recorded_at_idx" ON "defect_event"("defect_id", "recorded_at");

-- A record never changes or goes away once it was acknowledged.
CREATE FUNCTION "refuse_change"() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION 'a record in % is never changed or removed', TG_TABLE_NAME USING ERRCODE = 'FR001';
END $$;

-- One change is let through: what an old entry says may be forgotten, by a later entry that records it. Its hashes stay.
CREATE FUNCTION "keep_the_ledger"() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF OLD."data" IS NOT NULL AND NEW."data" IS NULL AND NEW."salt" IS NULL
     AND (NEW."id", NEW."chain_id", NEW."position", NEW."kind", NEW."version", NEW."machine_id", NEW."depot_id", NEW."staff_id",
          NEW."performed_at", NEW."recorded_at", NEW."data_sha256", NEW."sha256")
         IS NOT DISTINCT FROM
         (OLD."id", OLD."chain_id", OLD."position", OLD."kind", OLD."version", OLD."machine_id", OLD."depot_id", OLD."staff_id",
          OLD."performed_at", OLD."recorded_at", OLD."data_sha256", OLD."sha256")
     AND EXISTS (SELECT FROM "ledger" "later" WHERE "later"."id" = NEW."forgotten_by" AND "later"."kind" IN ('records-forgotten', 'person-forgotten'))
  THEN
    RETURN NEW;
  END IF;
  RAISE EXCEPTION 'a record in % is never changed or removed', TG_TABLE_NAME USING ERRCODE = 'FR001';
END $$;
CREATE TRIGGER "ledger_is_append_only" BEFORE UPDATE ON "ledger" FOR EACH ROW EXECUTE FUNCTION "keep_the_ledger"();
CREATE TRIGGER "ledger_is_not_thinned" BEFORE DELETE ON "ledger" FOR EACH ROW EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "ledger_is_not_emptied" BEFORE TRUNCATE ON "ledger" FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "daily_check_is_append_only" BEFORE UPDATE OR DELETE ON "daily_check" FOR EACH ROW EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "daily_check_is_not_emptied" BEFORE TRUNCATE ON "daily_check" FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "weekly_inspection_is_append_only" BEFORE UPDATE OR DELETE ON "weekly_inspection" FOR EACH ROW EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "weekly_inspection_is_not_emptied" BEFORE TRUNCATE ON "weekly_inspection" FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "defect_event_is_append_only" BEFORE UPDATE OR DELETE ON "defect_event" FOR EACH ROW EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "defect_event_is_not_emptied" BEFORE TRUNCATE ON "defect_event" FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "paper_is_append_only" BEFORE UPDATE OR DELETE ON "paper" FOR EACH ROW EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "paper_is_not_emptied" BEFORE TRUNCATE ON "paper" FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "machine_state_history_is_append_only" BEFORE UPDATE OR DELETE ON "machine_state_history" FOR EACH ROW EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "machine_state_history_is_not_emptied" BEFORE TRUNCATE ON "machine_state_history" FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "defect_is_not_removed" BEFORE DELETE ON "defect" FOR EACH ROW EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "defect_is_not_emptied" BEFORE TRUNCATE ON "defect" FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "machine_is_not_removed" BEFORE DELETE ON "machine" FOR EACH ROW EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "staff_is_not_removed" BEFORE DELETE ON "staff" FOR EACH ROW EXECUTE FUNCTION "refuse_change"();

-- The course of a defect: open -> (deferred) -> repaired -> signed-off, or open -> not-found; a closed one stays closed,
-- what was reported stays as reported, and only a mechanic with the competence closes it.
CREATE FUNCTION "keep_the_course"() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  closer RECORD;
BEGIN
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
CREATE TRIGGER "defect_keeps_its_course" BEFORE UPDATE ON "defect" FOR EACH ROW EXECUTE FUNCTION "keep_the_course"();

CREATE FUNCTION "begin_the_course"() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF NEW."status" <> 'open' THEN
    RAISE EXCEPTION 'a defect begins as open' USING ERRCODE = 'FR002';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER "defect_begins_open" BEFORE INSERT ON "defect" FOR EACH ROW EXECUTE FUNCTION "begin_the_course"();

-- A machine with an open grounding defect reads as grounded: the count that readiness uses equals the open defects at each commit.
CREATE FUNCTION "grounding_agrees"() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  subject UUID;
  counted INTEGER;
  stated INTEGER;
BEGIN
  IF TG_TABLE_NAME = 'machine' THEN subject := NEW."id"; ELSE subject := NEW."machine_id"; END IF;
  SELECT count(*) INTO counted FROM "defect"
    WHERE "machine_id" = subject AND "category" IN ('major', 'dangerous') AND "status" IN ('open', 'deferred', 'repaired');
  SELECT "open_grounding" INTO stated FROM "machine" WHERE "id" = subject;
  IF counted <> stated THEN
    RAISE EXCEPTION 'machine % states % open grounding defects and has %', subject, stated, counted USING ERRCODE = 'FR003';
  END IF;
  RETURN NULL;
END $$;
CREATE CONSTRAINT TRIGGER "defect_grounding_agrees" AFTER INSERT OR UPDATE ON "defect"
  DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION "grounding_agrees"();
CREATE CONSTRAINT TRIGGER "machine_grounding_agrees" AFTER UPDATE OF "open_grounding" ON "machine"
  DEFERRABLE INITIALLY DEFERRED FOR EACH ROW WHEN (OLD."open_grounding" IS DISTINCT FROM NEW."open_grounding")
  EXECUTE FUNCTION "grounding_agrees"();
