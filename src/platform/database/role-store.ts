// The role that the service runs on: it can log in and work, and owns nothing (prisma/service-role.sql).
import { readFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { z } from "zod";
import type { Database } from "./database.ts";
import { command, statement } from "./statement.ts";

const grants = fileURLToPath(new URL("../../../prisma/service-role.sql", import.meta.url));

const roleRows = statement(
  { super: z.boolean(), owns: z.boolean() },
  "SELECT rolsuper AS super, EXISTS (SELECT 1 FROM pg_class WHERE relowner = r.oid) AS owns FROM pg_roles r WHERE rolname = $1",
);
const quotedRows = statement({ password: z.string() }, "SELECT quote_literal($1::text) AS password");

/** Makes the role where it is missing, sets its password, and grants what there is now. As the owner of the database, after migrating. */
export async function giveServiceRole(db: Database, role: string, password: string): Promise<void> {
  if (!/^[a-z][a-z0-9_]{0,62}$/.test(role)) throw new Error("The name of a role is written in small letters, digits and underscores.");
  const [there] = await db.rows(roleRows, [role]);
  if (there?.super || there?.owns)
    throw new Error(`The role ${role} owns tables or is a superuser: the service takes a role that cannot change a record.`);
  // Neither name nor password can be a parameter of these statements; the server itself quotes the password.
  const [quoted] = await db.rows(quotedRows, [password]);
  await db.rows(command(`${there ? "ALTER" : "CREATE"} ROLE ${role} LOGIN PASSWORD ${quoted?.password}`));
  const granted = (await readFile(grants, "utf8"))
    .replaceAll(/^--.*$/gm, "")
    .replaceAll(':"role"', role)
    .split(";");
  for (const sql of granted.filter((one) => one.trim() !== "")) await db.rows(command(sql));
}
