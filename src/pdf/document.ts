// What a report is made of: plain data, no drawing and no rules. compose-*.ts makes it, draw.ts turns it into a PDF.

import type { Labels, Notice } from "./document-codes.ts";

/** How good or bad something is. Each tone has a shape besides its colour, so that a grey print loses nothing. */
export type Tone = "plain" | "good" | "warn" | "bad" | "quiet";

/** What stands at the head and foot of every page and in the file's own properties. */
export interface ReportHead {
  readonly title: string;
  /** One line under the title; also the file's subject. */
  readonly subject: string;
  readonly firmName: string;
  readonly depotName: string;
  /** The period or day that the report covers, ready to print. */
  readonly period: string;
  /** Ready to print, with the time zone named: the only place where it is. */
  readonly printedAt: string;
  /** Becomes the file's creation date: the same report printed at the same moment has the same bytes. */
  readonly createdAt: Date;
  /** BCP 47. */
  readonly language: string;
  readonly timeZone: string;
  /** With `{page}` and `{pages}` in it. */
  readonly pageOf: string;
  /** The line that no report goes without; at the foot of every page. */
  readonly caution: string;
  /** The sentence, with `{signs}` in it, about characters that no font has. */
  readonly notDrawn: string;
}

export interface Heading {
  readonly kind: "heading";
  readonly level: 1 | 2 | 3;
  readonly text: string;
}

export interface Paragraph {
  readonly kind: "paragraph";
  readonly text: string;
  readonly tone?: Tone;
  readonly size?: "normal" | "small" | "lead";
  readonly bold?: boolean;
  /** Stays on one page with the block after it, as a heading does. */
  readonly leads?: true;
}

/** Label and value pairs, in columns that are filled row by row. */
export interface Facts {
  readonly kind: "facts";
  readonly columns: 1 | 2 | 3;
  readonly rows: readonly {
    readonly label: string;
    readonly value: string;
    readonly tone?: Tone;
  }[];
}

/** The answer of a report in one box: what a machine is, or what is to be done, and every reason for it. */
export interface Badge {
  readonly kind: "badge";
  readonly tone: Tone;
  readonly title: string;
  readonly note?: string;
  readonly reasons: readonly string[];
}

export interface Cell {
  readonly text: string;
  readonly tone?: Tone;
  readonly bold?: boolean;
  /** A second line in small print. */
  readonly note?: string;
}

export interface Column {
  readonly head: string;
  /** Share of the width; the shares of a table need not add up to anything. */
  readonly share: number;
  readonly align?: "left" | "right";
}

export type Row = readonly (string | Cell)[];

export interface Table {
  readonly kind: "table";
  /** Says what the table holds, for people who use a screen reader. */
  readonly alt: string;
  readonly columns: readonly Column[];
  readonly rows: readonly Row[];
  /** Stands instead of the table where there are no rows. */
  readonly empty: string;
}

/** A table whose rows are read while it is drawn: it may have any number of them. */
export interface LongTable extends Omit<Table, "kind" | "rows"> {
  readonly kind: "long-table";
  readonly rows: AsyncIterable<Row>;
}

/** Horizontal bars, longest first as composed; a bar may be split into parts. */
export interface BarChart {
  readonly kind: "bars";
  readonly title: string;
  readonly alt: string;
  readonly bars: readonly {
    readonly label: string;
    readonly parts: readonly { readonly value: number; readonly tone: Tone }[];
  }[];
  readonly legend: readonly { readonly tone: Tone; readonly text: string }[];
}

/** One bar for a whole, cut into its parts. Parts of zero stay in the legend. */
export interface ShareBar {
  readonly kind: "share-bar";
  readonly title: string;
  readonly alt: string;
  readonly parts: readonly {
    readonly label: string;
    readonly value: number;
    readonly tone: Tone;
  }[];
}

/** Readings over the odometer or time, with the limit as a line across. */
export interface LineChart {
  readonly kind: "line";
  readonly title: string;
  readonly alt: string;
  readonly points: readonly {
    readonly x: number;
    readonly y: number;
    readonly xText: string;
    readonly yText: string;
    /** A new line begins at this point, with this text beside it. */
    readonly mark?: string;
  }[];
  readonly limits: readonly { readonly y: number; readonly text: string }[];
}

/** Samples in order, each against the limits for its own size; what lies outside is marked by shape. */
export interface ControlChart {
  readonly kind: "control";
  readonly title: string;
  readonly alt: string;
  readonly centre: { readonly y: number; readonly text: string };
  readonly points: readonly {
    readonly y: number;
    readonly low: number;
    readonly high: number;
    readonly isOutside: boolean;
    readonly xText: string;
  }[];
  /** From 0 to the top of the plot. */
  readonly axis: readonly { readonly y: number; readonly text: string }[];
  readonly legend: { readonly inside: string; readonly outside: string; readonly limits: string };
}

/** Values with their intervals on one scale: a dot with whiskers, and the same in words. */
export interface IntervalPlot {
  readonly kind: "intervals";
  readonly title: string;
  readonly alt: string;
  readonly groups: readonly {
    readonly title: string;
    /** A null value has nothing to be drawn. */
    readonly rows: readonly {
      readonly label: string;
      readonly text: string;
      readonly value: number | null;
      readonly low: number;
      readonly high: number;
    }[];
  }[];
  /** From 0 to the end of the scale; a whisker that goes farther is left open there. */
  readonly axis: readonly { readonly x: number; readonly text: string }[];
}

/** A share that falls in steps from all, with a band about it. */
export interface StepChart {
  readonly kind: "steps";
  readonly title: string;
  readonly alt: string;
  readonly steps: readonly { readonly x: number; readonly y: number; readonly low: number; readonly high: number }[];
  /** The end of the observation: the line continues to there. */
  readonly end: number;
  readonly xAxis: readonly { readonly x: number; readonly text: string }[];
  readonly yAxis: readonly { readonly y: number; readonly text: string }[];
}

export type DayMark = "nil" | "nothing-new" | "defect" | "missing" | "outside" | "ridden" | "withdrawn";

/** A calendar of days, a mark for each: a check that found nothing never looks like a check that was not made. */
export interface DayStrip {
  readonly kind: "days";
  readonly title: string;
  readonly alt: string;
  /** What stands over each place of a row. */
  readonly heads: readonly string[];
  /** Rows, one a month: its label and its days in order; a `null` keeps a place empty. */
  readonly rows: readonly { readonly label: string; readonly days: readonly (DayMark | null)[] }[];
  readonly legend: readonly { readonly mark: DayMark; readonly text: string }[];
}

/** A row a machine, a place a day; heads and marks explained again on each page. */
export interface DayGrid {
  readonly kind: "day-grid";
  readonly heads: readonly { readonly text: string; readonly isRest: boolean }[];
  /** What stands over the counts at the end of each row. */
  readonly countHeads: readonly string[];
  readonly rows: readonly {
    readonly label: string;
    readonly note: string;
    /** A `null` keeps a place empty. */
    readonly days: readonly (DayMark | null)[];
    readonly counts: readonly string[];
  }[];
  readonly legend: readonly { readonly mark: DayMark; readonly text: string }[];
  /** Stands instead of the grid where there are no rows. */
  readonly empty: string;
}

/** The course of a thing: steps in order of time, joined by a line. */
export interface Course {
  readonly kind: "course";
  readonly steps: readonly {
    readonly when: string;
    readonly title: string;
    readonly details: readonly string[];
    readonly tone: Tone;
  }[];
}

/** A statement with a place to sign for each who must. */
export interface Signatures {
  readonly kind: "signatures";
  readonly statement: string;
  /** Each box is a person: fields to fill in by hand, or already filled in. */
  readonly boxes: readonly {
    readonly title: string;
    readonly fields: readonly {
      readonly label: string;
      readonly value?: string;
    }[];
  }[];
}

/** Fields to fill in by hand, laid out in rows by their shares of the width. */
export interface Blanks {
  readonly kind: "blanks";
  readonly rows: readonly (readonly {
    readonly label: string;
    readonly share: number;
    readonly value?: string;
  }[])[];
}

/** The rows of a blank check sheet: for each item two boxes to tick, a third where it may not apply, what may be seen there, and boxes for readings. */
export interface CheckRows {
  readonly kind: "check-rows";
  readonly station: string;
  /** The heads of the three boxes: in order, defect, does not apply. */
  readonly boxes: readonly [string, string, string];
  readonly items: readonly {
    readonly prompt: string;
    readonly how?: string;
    /** the third box is there */
    readonly mayNotApply: boolean;
    readonly observations: readonly {
      readonly text: string;
      readonly mark: string;
      readonly tone: Tone;
    }[];
    readonly readings: readonly {
      readonly label: string;
      readonly unit: string;
    }[];
    readonly limit?: string;
  }[];
}

export interface Jpeg {
  readonly bytes: Buffer;
  readonly widthPx: number;
  readonly heightPx: number;
}

/** Pictures side by side, each with a line of its own under it. */
export interface Pictures {
  readonly kind: "pictures";
  readonly pictures: readonly {
    readonly alt: string;
    readonly caption: string;
    /** A text is printed in its place if there is no picture to show. */
    readonly shown: Jpeg | string;
  }[];
}

/** Starts a new page unless this one is still empty. */
export interface PageBreak {
  readonly kind: "page-break";
}

export type Block =
  | Heading
  | Paragraph
  | Facts
  | Badge
  | Table
  | LongTable
  | BarChart
  | ShareBar
  | LineChart
  | ControlChart
  | IntervalPlot
  | StepChart
  | DayStrip
  | DayGrid
  | Course
  | Signatures
  | Blanks
  | CheckRows
  | Pictures
  | Labels
  | Notice
  | PageBreak;

export interface ReportDocument {
  readonly head: ReportHead;
  readonly blocks: readonly Block[];
  /** A4 unless said */
  readonly sheet?: "a5";
}

/** A report and the name of its file. */
export interface ReportFile {
  readonly report: ReportDocument;
  readonly fileName: string;
}
