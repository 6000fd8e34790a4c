-- The item of the sheets that a campaign is about: who may sign for its job follows from it.
ALTER TABLE "campaign" ADD COLUMN "item_id" TEXT;
