// What the environment means where something is left out.
import { expect, test } from "vitest";
import { readConfig } from "../../src/platform/index.ts";

test.each([
  [{}, true],
  [{ FERRULE_DEMO: "no" }, false],
  [{ DATABASE_URL: "embedded" }, true],
  [{ DATABASE_URL: "postgres://u@127.0.0.1:5432/x" }, true],
  [{ DATABASE_URL: "postgres://u@[::1]/x" }, true],
  [{ DATABASE_URL: "postgres:///x?host=/var/run/postgresql" }, true],
  [{ DATABASE_URL: "postgres://u@localhost/x?host=db.example.com" }, false],
  [{ DATABASE_URL: "postgres://u@db.example.com/x" }, false],
  [{ DATABASE_URL: "postgres://u@localhost.example.com/x" }, false],
  [{ DATABASE_URL: "postgres://u@db.example.com/x", FERRULE_DEMO: "yes" }, true],
  [{ DATABASE_URL: "postgres://u@127.0.0.1/x", FERRULE_DEMO: "no" }, false],
  [{ DATABASE_URL: "postgres://u@127.0.0.1/x", FERRULE_DEMO: "yes", NODE_ENV: "production" }, false],
])("with %j an empty store may get the demo firm: %s", (environment, may) => {
  expect(readConfig(environment).demo).toBe(may);
});
