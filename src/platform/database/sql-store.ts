// SQL that the statements of several rooms are made of.
import { z } from "zod";

/** SQL: an instant as text, as answers write it. */
export const asInstant = (column: string): string => `to_char(${column} AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.MS"Z"')`;
/** The column of `asInstant`. */
export const instantText = z.iso.datetime({ precision: 3 });

/** SQL: the ids in a parameter (`$1`), which is a JSON list. */
export const idsIn = (parameter: string): string => `(SELECT value::uuid FROM jsonb_array_elements_text(${parameter}::text::jsonb))`;

/** SQL condition: the column is one of the ids in a parameter, or the parameter is null, which stands for all. */
export const among = (column: string, parameter: string): string => `(${parameter}::text IS NULL OR ${column} IN ${idsIn(parameter)})`;
