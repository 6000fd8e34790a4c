// Blocks of a report that hold a code to scan, beside those of document.ts.

/** Labels to cut out, each with a code to scan. */
export interface Labels {
  readonly kind: "labels";
  readonly labels: readonly {
    readonly mark: string;
    readonly lines: readonly string[];
    readonly say: string;
    /** what the code holds */
    readonly address: string;
    readonly alt: string;
  }[];
}

/** A page that is read from afar: what is not to be done, and with which machine; in smaller letters why, and a code to scan. */
export interface Notice {
  readonly kind: "notice";
  readonly title: string;
  readonly mark: string;
  readonly lines: readonly string[];
  readonly reasons: readonly string[];
  /** beside the code: what it is for first, then how long the notice stays */
  readonly say: readonly [string, string];
  /** what the code holds */
  readonly address: string;
  readonly alt: string;
}
