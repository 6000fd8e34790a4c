-- A pack with all photos is another, much larger one than that without: both may be on their way at once.
ALTER TABLE "audit_pack" ADD COLUMN "photos" BOOLEAN NOT NULL DEFAULT false;
DROP INDEX "audit_pack_one_at_work";
CREATE UNIQUE INDEX "audit_pack_one_at_work" ON "audit_pack"("month", coalesce("depot_id", '00000000-0000-0000-0000-000000000000'), "photos")
  WHERE "state" IN ('waiting', 'working');
