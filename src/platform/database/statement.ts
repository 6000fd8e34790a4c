// Handwritten SQL and the columns of its result, side by side. The service does not check the rows, so this costs nothing at run time; the tests
// compare every row with what is declared here, on both databases (tests/support/checked-rows.ts).
import type { z } from "zod";

/** What each column holds, by name. */
export type ColumnsOf<Row> = { readonly [Column in keyof Row]: z.ZodType<Row[Column]> };

/** One statement with what each row of its answer holds. */
export interface Statement<Row> {
  readonly sql: string;
  /** null: it returns no rows, or none that anybody reads */
  readonly columns: ColumnsOf<Row> | null;
}

/** Runs one statement by hand. */
export type Ask = <Row>(asked: Statement<Row>, parameters?: readonly unknown[]) => Promise<Row[]>;

/** What a row of that statement holds. */
export type RowOf<Asked extends Statement<unknown>> = Asked extends Statement<infer Row> ? Readonly<Row> : never;

/**
 * A statement and exactly the columns of its rows. Made once, beside the function that runs it. A column has the type that the drivers return:
 * instants are dates, days are cast to text, large counts to float8, and JSON has the schema of what was stored.
 */
export const statement = <Row extends object>(columns: ColumnsOf<Row>, sql: string): Statement<Row> => ({ sql, columns });

/** A statement that is run for what it does. */
export const command = (sql: string): Statement<never> => ({ sql, columns: null });
