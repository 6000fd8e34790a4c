// Run before the service starts with a role that owns nothing: as the owner, migrates the database of DATABASE_URL and creates or updates the
// role FERRULE_SERVICE_ROLE with FERRULE_SERVICE_PASSWORD.
import { fewestConnections, giveServiceRole, openServer, patiently } from "./platform/index.ts";

const wanted = ["DATABASE_URL", "FERRULE_SERVICE_ROLE", "FERRULE_SERVICE_PASSWORD"] as const;

async function prepare(): Promise<void> {
  const [address, role, password] = wanted.map((name) => {
    const value = process.env[name];
    if (!value) throw new Error(`${name} is not set.`);
    return value;
  }) as [string, string, string];
  const db = openServer(address, fewestConnections);
  try {
    const applied = await db.migrate();
    await patiently(() => giveServiceRole(db, role, password));
    console.log(`The database is ready for ${role}; migrations applied: ${applied.join(", ") || "none"}.`);
  } finally {
    await db.close();
  }
}

prepare().catch((error: unknown) => {
  console.error(`\nThe database could not be prepared. ${error instanceof Error ? error.message : String(error)}`);
  process.exit(1);
});
