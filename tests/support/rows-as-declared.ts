// After each test: whether all rows that a database answered were what their statements declare.
import { afterAll, afterEach, expect } from "vitest";
import { takeMismatches } from "./checked-rows.ts";

const look = (): void => expect(takeMismatches(), "rows otherwise than declared").toEqual([]);
afterEach(look);
afterAll(look);
