// When a machine was out of service, and when it was not of the fleet at all, from its own records.

/** From one withdrawal to the return after it; `to` null: the machine still is withdrawn. */
export interface WithdrawnSpan<At> {
  readonly from: At;
  readonly to: At | null;
}

type Entries<At> = readonly { readonly kind: string; readonly at: At }[];

/** When a machine was withdrawn, from the entries of its chain in their order; other kinds of entries are passed over. */
export const withdrawnSpans = <At>(entries: Entries<At>): WithdrawnSpan<At>[] =>
  spansBetween(entries, "machine-withdrawn", "machine-returned");

/** When a machine was sold or scrapped, in the same way. */
export const disposedSpans = <At>(entries: Entries<At>): WithdrawnSpan<At>[] =>
  spansBetween(entries, "machine-disposed", "machine-reinstated");

function spansBetween<At>(entries: Entries<At>, begins: string, ends: string): WithdrawnSpan<At>[] {
  const spans: WithdrawnSpan<At>[] = [];
  for (const { kind, at } of entries) {
    if (kind === begins) spans.push({ from: at, to: null });
    else if (kind === ends) {
      const last = spans.pop();
      if (last) spans.push({ ...last, to: at });
    }
  }
  return spans;
}
