-- What riders put right on the spot at a daily check, in the order of the sheet, with the reading after it as it was judged: the pressure trend
-- reads from it how a tyre was left, and the report of a machine what was done between the inspections.
CREATE VIEW "entry_put_right" WITH (security_invoker = true) AS
SELECT l."id", l."kind", l."chain_id", l."machine_id", l."depot_id", l."staff_id", l."position", l."performed_at", l."recorded_at",
  p.place AS "place",
  p.done->>'itemId' AS "item_id",
  p.done->'observationIds' AS "observation_ids",
  p.done->>'note' AS "note",
  (p.done->>'isRight')::bool AS "is_right",
  p.done->>'load' AS "load",
  p.done->'verdict'->>'quantity' AS "quantity",
  (p.done->'verdict'->'reading'->>'asFound')::float8 AS "as_left",
  p.done->'verdict'->'reading'->>'unit' AS "unit",
  nullif(p.done->'verdict', 'null') AS "verdict"
FROM "ledger" l
  CROSS JOIN LATERAL jsonb_array_elements(l."data"->'outcome'->'putRight') WITH ORDINALITY p (done, place)
WHERE l."kind" = 'daily-check';
