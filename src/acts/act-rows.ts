// What an act writes besides its record and the machine's state: rows of the rooms' own tables. Each room says in its `row-store.ts` what
// its rows are and how they are written; here is what all of them have in common. They depend on the gate: where it lets nobody through,
// nothing is written.

/** Rows of one table for one act, as the room that owns the table writes them. */
export interface ActRows {
  readonly written: RowWriting;
  /** with the column names of the database in camel case */
  readonly rows: readonly object[];
}

/** One way of writing rows. Rows of several acts that are written the same way go together. */
export interface RowWriting {
  /** of its part of the statement; no other way has it */
  readonly name: string;
  /** the part `name AS (...)`; `rows` is the SQL of a JSON list of rows with the database's column names */
  readonly sql: (rows: string) => string;
}

/** Makes `ActRows` of rows of one type. */
export type RowsOf<Row extends object> = (rows: readonly Row[]) => ActRows;

/** SQL: the JSON rows whose machine came through the gate. */
export const rowsThroughTheGate = (table: string, rows: string): string =>
  `SELECT r.* FROM jsonb_populate_recordset(NULL::${table}, ${rows}) r JOIN gate ON gate.id = r.machine_id`;

/** Writes rows by a statement of their own, which joins `gate (id)`: the machines that came through. */
export const writtenBy = <Row extends object>(name: string, statement: (rows: string) => string): RowsOf<Row> => {
  const written: RowWriting = { name, sql: (rows) => `${name} AS (${statement(rows)})` };
  return (rows) => ({ written, rows });
};

/** Adds rows to a table that has a column `machine_id`. */
export const insertedInto = <Row extends { readonly machineId: string }>(table: string): RowsOf<Row> =>
  writtenBy(`${table}_rows`, (rows) => `INSERT INTO ${table} ${rowsThroughTheGate(table, rows)}`);

/** A machine that comes to another depot with its act. What goes along with it is of rooms that stand to the right: they are handed in. */
export interface DepotMove {
  readonly machineId: string;
  /** the depot that it comes to */
  readonly depotId: string;
}

/**
 * Particulars of the machine's own row that an act changes. They are written by the gate itself: PostgreSQL changes a row only once in one
 * statement.
 */
export interface MachineParticulars {
  readonly registrationMark?: string;
  readonly vin?: string | null;
  readonly modelId?: string;
  readonly inServiceFrom?: string;
}
