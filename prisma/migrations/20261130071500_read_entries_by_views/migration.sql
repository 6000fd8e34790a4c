-- What an entry says is read by SQL through these views alone, each of the kinds of records that it names. Every path into an entry stands here
-- once, and tests/http/entry-views.test.ts compares it with the schemas in shared/records. A forgotten entry says nothing: its columns are null.
-- The views run with the rights of whoever reads, and are plain enough to be planned as if their query stood in their place: the indexes on
-- the ledger serve through them.

-- Where a defect was found: a check, an inspection, or a report in its first entry.
CREATE VIEW "entry_origin" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  (l."data"->'submitted'->>'odometerKm')::float8 AS "odometer_km",
  l."data"->'submitted'->>'sheetVersion' AS "sheet_version",
  l."data"->'outcome'->'flags' AS "flags",
  jsonb_path_query_array(l."data", '$.submitted.observationIds[*]') || jsonb_path_query_array(l."data", '$.submitted.answers[*].observationIds[*]') AS "observation_ids"
FROM "ledger" l
WHERE l."kind" IN ('daily-check', 'weekly-inspection', 'defect-raised', 'defect-sighted');

-- A defect that was raised or seen again.
CREATE VIEW "entry_finding" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  (l."data"->>'originId')::uuid AS "origin_id",
  l."data"->'defect'->'observationIds' AS "observation_ids"
FROM "ledger" l
WHERE l."kind" IN ('defect-raised', 'defect-sighted');

-- Each answer of a check or an inspection, in the order of the sheet.
CREATE VIEW "entry_answer" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  a.place AS "place",
  a.answer->>'itemId' AS "item_id",
  a.answer->>'result' AS "result",
  (a.answer->>'asFound')::float8 AS "as_found",
  (a.answer->>'asLeft')::float8 AS "as_left",
  (a.answer->>'celsius')::float8 AS "celsius",
  a.answer->'actions' AS "actions"
FROM "ledger" l
  CROSS JOIN LATERAL jsonb_array_elements(l."data"->'submitted'->'answers') WITH ORDINALITY a (answer, place)
WHERE l."kind" IN ('daily-check', 'weekly-inspection');

-- Each reading of an inspection as it was judged, in the order of the sheet.
CREATE VIEW "entry_verdict" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  v.place AS "place",
  v.verdict->>'itemId' AS "item_id",
  v.verdict->>'quantity' AS "quantity",
  v.verdict->>'result' AS "result",
  (v.verdict->'reading'->>'asFound')::float8 AS "as_found",
  (v.verdict->'reading'->>'asLeft')::float8 AS "as_left",
  v.verdict->'reading'->>'unit' AS "unit",
  v.verdict AS "verdict"
FROM "ledger" l
  CROSS JOIN LATERAL jsonb_array_elements(l."data"->'outcome'->'verdicts') WITH ORDINALITY v (verdict, place)
WHERE l."kind" = 'weekly-inspection';

-- The one reading that a daily check asks for, as it was judged.
CREATE VIEW "entry_proof" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  l."data"->'outcome'->'proof'->>'itemId' AS "item_id",
  l."data"->'outcome'->'proof'->>'quantity' AS "quantity",
  (l."data"->'outcome'->'proof'->'reading'->>'asFound')::float8 AS "as_found",
  l."data"->'outcome'->'proof'->'reading'->>'unit' AS "unit",
  l."data"->'submitted'->'proof'->>'load' AS "load",
  l."data"->'outcome'->'proof' AS "verdict"
FROM "ledger" l
WHERE l."kind" = 'daily-check';

-- An inspection as a whole.
CREATE VIEW "entry_inspection" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  l."data"->'outcome'->'verdicts' AS "verdicts",
  jsonb_path_query_array(l."data", '$.measuredBy[*].staffId') AS "measured_by"
FROM "ledger" l
WHERE l."kind" = 'weekly-inspection';

-- A repair: how many kinds of parts went in, and what was read after it.
CREATE VIEW "entry_repair" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  l."data"->'submitted'->'parts' AS "parts",
  (l."data"->'submitted'->'reading'->>'value')::float8 AS "reading",
  l."data"->'submitted'->'reading'->>'unit' AS "unit"
FROM "ledger" l
WHERE l."kind" = 'defect-repaired';

-- A sign-off, or a finding that there is no fault; the first look of two says what was seen and closes nothing.
CREATE VIEW "entry_closing" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  l."data"->'submitted'->>'statement' AS "statement",
  l."data"->'submitted'->>'reason' AS "reason",
  l."data"->'outcome'->'defect'->>'firstLook' AS "first_look"
FROM "ledger" l
WHERE l."kind" IN ('defect-signed-off', 'defect-not-found');

-- A machine enters the fleet, is amended, withdrawn, or comes back.
CREATE VIEW "entry_machine" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  (l."data"->>'odometerKm')::int AS "odometer_km",
  (l."data"->'before'->>'odometerKm')::int AS "from_km",
  (l."data"->'after'->>'odometerKm')::int AS "to_km",
  (l."data"->'before'->>'depotId')::uuid AS "from_depot_id",
  (l."data"->'after'->>'depotId')::uuid AS "to_depot_id",
  l."data"->'before' AS "before"
FROM "ledger" l
WHERE l."kind" IN ('machine-added', 'machine-amended', 'machine-withdrawn', 'machine-returned');

-- A paper that counts no longer.
CREATE VIEW "entry_paper_ended" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  l."data"->'submitted'->>'note' AS "note"
FROM "ledger" l
WHERE l."kind" = 'paper-ended';

-- The firm's policy as it was before a change.
CREATE VIEW "entry_policy" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  l."data"->'before' AS "before"
FROM "ledger" l
WHERE l."kind" = 'policy-changed';

-- What a depot was called before it got another name; null where it kept its name.
CREATE VIEW "entry_depot" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  (l."data"->>'depotId')::uuid AS "about_depot_id",
  l."data"->'before'->>'name' AS "name_before"
FROM "ledger" l
WHERE l."kind" = 'depot-amended';

-- What a model was before it was revised.
CREATE VIEW "entry_model" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  (l."data"->>'modelId')::uuid AS "model_id",
  l."data"->'before'->>'name' AS "name_before",
  l."data"->'before' AS "before"
FROM "ledger" l
WHERE l."kind" = 'model-revised';

-- What the firm's chain says of a person. Whoever was forgotten is told by an entry of that kind alone.
CREATE VIEW "entry_person" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  (l."data"->>'personId')::uuid AS "person_id",
  (l."data"->>'allDepots')::bool AS "all_depots",
  l."data"->'depotIds' AS "depot_ids"
FROM "ledger" l
WHERE l."kind" IN ('person-added', 'person-amended', 'person-left', 'person-forgotten');

-- A correction. What it corrects is text, as the index on it has it.
CREATE VIEW "entry_correction" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  l."data"->>'corrects' AS "corrects",
  l."data"->'submitted' AS "submitted",
  l."data"->'was' AS "was"
FROM "ledger" l
WHERE l."kind" = 'record-corrected';

-- A photo that arrived after the record which names it.
CREATE VIEW "entry_photo_added" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  (l."data"->'submitted'->>'photoId')::uuid AS "photo_id"
FROM "ledger" l
WHERE l."kind" = 'photo-added';

-- The photos that had arrived before an entry which may name some.
CREATE VIEW "entry_photos" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  l."data"->'photos' AS "photos",
  l."data" IS NULL AS "forgotten"
FROM "ledger" l
WHERE l."kind" IN ('daily-check', 'weekly-inspection', 'defect-raised', 'defect-sighted', 'photo-added');

-- A report that somebody took; of which machine, where it was of one.
CREATE VIEW "entry_report" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  (l."data"->>'machineId')::uuid AS "about_machine_id"
FROM "ledger" l
WHERE l."kind" = 'report-taken';

-- Why a hold was placed.
CREATE VIEW "entry_hold_placed" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  l."data"->'submitted'->>'reason' AS "reason"
FROM "ledger" l
WHERE l."kind" = 'hold-placed';

-- Why a hold was lifted.
CREATE VIEW "entry_hold_lifted" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  l."data"->>'reason' AS "reason"
FROM "ledger" l
WHERE l."kind" = 'hold-lifted';
