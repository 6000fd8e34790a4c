-- What came after a refresh token that was used, and on which device: a page whose answer was lost on the way asks again with the same one.
-- Null for whatever is no page, and for what was used before this.
ALTER TABLE "refresh_token" ADD COLUMN "next_hash" TEXT, ADD COLUMN "used_by_device" TEXT;
